"""Write a day's record for buyers: JSON, PDF, workbook and CSV files, all from one value."""
