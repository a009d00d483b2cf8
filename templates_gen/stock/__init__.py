"""Sheets of stock: strakes of both hands, scarfed where a sheet is too short, nested with what else is cut."""
