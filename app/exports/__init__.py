"""Ways out of the tool and back in: run tables, workbook, report, archive."""
