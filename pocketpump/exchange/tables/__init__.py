"""Tables for spreadsheets: ``tables`` out and in, ``cells`` one cell of them, ``spreadsheet`` past
refills from a list that someone else kept, column by column.
"""
