"""On paper and beyond: PDFs, order sheets, calendar, spreadsheet, write-up. Data in, bytes out."""
