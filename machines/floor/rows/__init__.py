"""Rows of the shop in use, as the database has them: in SQL where a floor asks again and again."""
