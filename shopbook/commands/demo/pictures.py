"""Pictures of damage for the demo: sketches drawn by the program, so that no real car is shown."""

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw


def draw_car(paint: str, dents: Sequence[tuple[float, float]], back: str = "#aab2b8") -> bytes:
    """A picture as a phone might take it of a damage: a sketch of a car's side, each dent at its share of the width and
    height; a JPEG."""
    wide, high = 1280, 860
    picture = Image.new("RGB", (wide, high), back)
    draw = ImageDraw.Draw(picture)
    draw.rectangle((0, 640, wide, high), fill="#6d7072")
    draw.polygon([(330, 370), (470, 190), (860, 190), (1010, 370)], fill="#22303c", outline="#111", width=6)
    draw.line([(660, 190), (660, 370)], fill="#111", width=12)
    draw.rounded_rectangle((90, 360, 1190, 640), 70, fill=paint, outline="#181818", width=6)
    draw.line([(120, 450), (1160, 450)], fill="#ffffff", width=3)
    for line in (370, 660, 930):
        draw.line([(line, 370), (line - 14, 630)], fill="#181818", width=4)
    for handle in (560, 840):
        draw.rounded_rectangle((handle, 470, handle + 66, 488), 8, fill="#181818")
    for wheel in (290, 1000):
        draw.ellipse((wheel - 105, 530, wheel + 105, 740), fill="#141414")
        draw.ellipse((wheel - 58, 577, wheel + 58, 693), fill="#b9bdc0")
    for across, down in dents:
        x, y = int(across * wide), int(down * high)
        draw.ellipse((x - 62, y - 40, x + 62, y + 40), outline="#ffffff", width=5)
        draw.ellipse((x - 50, y - 30, x + 44, y + 24), fill="#0d0d0d", outline="#3a3a3a", width=6)
        draw.arc((x - 50, y - 34, x + 56, y + 36), 200, 340, fill="#f4f4f4", width=7)
    target = io.BytesIO()
    picture.save(target, "JPEG", quality=85)
    return target.getvalue()
