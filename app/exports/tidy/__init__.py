"""Tidy tables: one row a run, a decision, a bench, a result, each with all that it needs to stand alone.

`columns` and `class_columns` declare every column once, with its unit and its definition; the CSV files,
their metadata (CSV on the Web, W3C), the workbook and its data dictionary are made of it. `rows` and
`class_rows` make the cells, in the columns' order, from a `WholePractical` and a result as plain data
(`app.analysis.views.json`).
"""
