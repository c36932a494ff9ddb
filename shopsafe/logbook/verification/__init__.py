"""Reading the whole logbook and naming what is wrong with it."""
