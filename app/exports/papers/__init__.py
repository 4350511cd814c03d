"""What is printed: bench cards, labels of the kit and the lesson report, as PDF files.

What a paper says stands apart from how it is set (`card_text`, `report_parts`), since pages show the same; no
page may load the PDF library for that.
"""
