"""Photos as a phone sends them, for tests: small, and with the place where they were taken."""

from io import BytesIO

from PIL import Image

GPS = 0x8825  # the part of Exif that says where a photo was taken
NORTH, LATITUDE = 1, 2


def png() -> bytes:
    content = BytesIO()
    Image.new("RGB", (40, 30), "white").save(content, "PNG")
    return content.getvalue()


def phone_photo() -> bytes:
    """A JPEG whose Exif carries a place."""
    content, exif = BytesIO(), Image.Exif()
    exif.get_ifd(GPS).update({NORTH: "N", LATITUDE: (44.0, 5.0, 0.0)})
    Image.new("RGB", (40, 30), "white").save(content, "JPEG", exif=exif)
    return content.getvalue()


def place_in(photo: bytes) -> dict[int, object]:
    """What a photo says of the place where it was taken."""
    with Image.open(BytesIO(photo)) as image:
        return dict(image.getexif().get_ifd(GPS))
