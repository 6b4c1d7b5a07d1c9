"""What the evening asks for, for people, spreadsheets and calendars: one module a kind of report."""
