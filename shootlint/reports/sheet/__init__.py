"""The field sheet: one page of HTML with all that is held in hand on location."""
