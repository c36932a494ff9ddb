"""How many, as people write it: "All seven", "Both", "It"."""

NUMBERS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def in_words(number: int) -> str:
    """ "seven", but "13"."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)
