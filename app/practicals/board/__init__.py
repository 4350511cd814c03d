"""What wall and phones may show: the class analysed once for each revision, revealed step by step.

The snapshot is made outside any transaction and kept in this process's memory, which matters to speed alone.
Nothing here writes a reading.
"""
