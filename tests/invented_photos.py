"""Draws the photographs of the demo: pictures of our own, plainly invented. ``python tests/invented_photos.py``"""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter, ImageFont

FOLDER = Path(__file__).parents[1] / "schemas" / "examples" / "photos"
SIZE = (960, 720)
WALL, FLOOR, TRIM, EDGE, DARK = (205, 196, 178), (122, 92, 64), (232, 228, 216), (168, 160, 144), (70, 56, 44)


def canvas() -> tuple[Image.Image, ImageDraw.ImageDraw]:
    """A lime-washed wall over a floor of boards, with a scale of 300 mm lying on it."""
    image = Image.effect_noise(SIZE, 26).convert("RGB")
    image = Image.blend(Image.new("RGB", SIZE, WALL), image, 0.12).filter(ImageFilter.GaussianBlur(1.2))
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 560, 960, 720), FLOOR)
    for y in (600, 650, 700):
        draw.line((0, y, 960, y), DARK, 2)
    for number in range(6):
        draw.rectangle((620 + number * 50, 670, 670 + number * 50, 690), "white" if number % 2 else "black")
    return image, draw


def board(draw: ImageDraw.ImageDraw, left: int, right: int) -> None:
    """A moulded skirting from left to right."""
    draw.rectangle((left, 360, right, 560), TRIM, EDGE)
    for y, tone in ((372, EDGE), (384, (190, 182, 166)), (400, EDGE), (410, (214, 208, 194))):
        draw.line((left, y, right, y), tone, 4)


def signed(image: Image.Image, draw: ImageDraw.ImageDraw, name: str) -> None:
    """Mark it as invented and write it."""
    draw.text((20, 16), "INVENTED: a drawing, no photograph", fill=DARK, font=ImageFont.load_default(30))
    image.save(FOLDER / f"{name}.jpg", "JPEG", quality=72, optimize=True)


def main() -> None:
    """All of them."""
    image, draw = canvas()
    board(draw, 0, 640)
    draw.polygon([(640, 352), (664, 348), (664, 556), (640, 560)], DARK)
    draw.rectangle((700, 0, 960, 560), (92, 84, 74))
    signed(image, draw, "hall-skirting-left")
    image, draw = canvas()
    board(draw, 160, 960)
    draw.polygon([(470, 360), (560, 360), (548, 440), (572, 560), (462, 560), (486, 450)], DARK)
    draw.ellipse((250, 470, 300, 500), EDGE)
    signed(image, draw, "hall-skirting-right")
    image, draw = canvas()
    draw.rectangle((420, 0, 560, 560), TRIM, EDGE)
    for x in (436, 520, 544):
        draw.line((x, 0, x, 560), EDGE, 5)
    draw.rectangle((560, 0, 960, 560), (86, 70, 54))
    draw.polygon([(424, 420), (470, 400), (540, 436), (556, 520), (430, 530)], (98, 74, 52))
    signed(image, draw, "parlour-architrave")
    image, draw = canvas()
    draw.rectangle((0, 0, 520, 560), (214, 226, 232))
    draw.line((260, 0, 260, 560), TRIM, 26)
    draw.rectangle((520, 0, 760, 560), TRIM, EDGE)
    draw.rectangle((560, 60, 720, 500), (220, 214, 200), EDGE, 6)
    draw.line((762, 0, 768, 560), DARK, 5)
    signed(image, draw, "parlour-shutter-lining")
    image, draw = canvas()
    draw.rectangle((0, 210, 960, 262), (188, 178, 158))
    draw.line((0, 210, 960, 206), (150, 140, 120), 5)
    for x in (180, 540, 860):
        draw.rectangle((x, 226, x + 22, 248), DARK)
    signed(image, draw, "parlour-ghost-line")


if __name__ == "__main__":
    main()
