#!/usr/bin/env python3
"""Draws the photos of the example visits, the firm's logo and the inspector's signature.

    python3 -m pip install pillow==13.0.0 && python3 examples/draw_photos.py

Everything shown is invented: no real firm, maker, person or place. The pictures are drawn, with
the shading and grain of a phone's photo, so that the examples need no picture of a real home.
The same Pillow gives the same bytes. Two of the files carry what real photos carry: one is stored
sideways with EXIF orientation 6, one holds a GPS position (48°52.6' S 123°23.6' W, the point of
the ocean farthest from any land), so that a test can show that no certificate ever holds it.
"""

import math
import random
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

HERE = Path(__file__).resolve().parent
FONTS = HERE.parent / "fonts"
# Drawn at twice the size and reduced at the end, which smooths every edge.
SCALE = 2
# Size of a photo's file; the quality is lowered until it fits.
MOST_BYTES = 150_000

COPPER = (196, 120, 70)
ALUMINIUM = (196, 200, 204)
STEEL = (158, 164, 170)
BLACK_WIRE = (42, 42, 46)
RED_WIRE = (178, 44, 40)
WHITE_WIRE = (226, 224, 216)
GREEN_WIRE = (52, 128, 74)
BROWN_WIRE = (112, 70, 44)
GREY_WIRE = (134, 136, 140)
BLUE_WIRE = (48, 92, 168)


def mix(a, b, t):
    """The colour between a and b, t from 0 to 1."""
    return tuple(round(x + (y - x) * t) for x, y in zip(a, b))


def light(color, by):
    """A colour made lighter (by > 0) or darker (by < 0)."""
    return mix(color, (255, 255, 255) if by > 0 else (0, 0, 0), abs(by))


class Scene:
    """A picture in the making. Coordinates are those of the finished picture."""

    def __init__(self, width, height, background, seed):
        self.width, self.height = width, height
        self.rng = random.Random(seed)
        size = (width * SCALE, height * SCALE)
        self.image = Image.new("RGB", size, background)
        self.draw = ImageDraw.Draw(self.image)

    def at(self, *points):
        return [(x * SCALE, y * SCALE) for x, y in points]

    def box(self, x0, y0, x1, y1):
        return [x0 * SCALE, y0 * SCALE, x1 * SCALE, y1 * SCALE]

    def noise(self, width, height):
        """Grey noise around 128, of a size in pixels."""
        return Image.frombytes("L", (width, height), self.rng.randbytes(width * height))

    def texture(self, box, coarse, strength, stretch=(1, 1)):
        """Lays an uneven tone over a rectangle: plaster, paint, brushed metal."""
        x0, y0, x1, y1 = (v * SCALE for v in box)
        w, h = x1 - x0, y1 - y0
        grain = self.noise(max(2, w // (coarse * stretch[0])), max(2, h // (coarse * stretch[1])))
        grain = grain.resize((w, h), Image.Resampling.BICUBIC)
        part = self.image.crop((x0, y0, x1, y1))
        tone = Image.merge("RGB", [grain] * 3)
        self.image.paste(Image.blend(part, ImageChops.overlay(part, tone), strength), (x0, y0))

    def shadow(self, paint, blur=14, dx=10, dy=16, dark=0.5):
        """A soft shadow of whatever `paint` draws (white on black) into a mask."""
        small = (self.image.width // 4, self.image.height // 4)
        mask = Image.new("L", self.image.size, 0)
        paint(ImageDraw.Draw(mask))
        mask = mask.resize(small).filter(ImageFilter.GaussianBlur(blur * SCALE / 4))
        moved = Image.new("L", small, 0)
        moved.paste(mask, (dx * SCALE // 4, dy * SCALE // 4))
        mask = moved.resize(self.image.size, Image.Resampling.BILINEAR)
        mask = mask.point(lambda v: round(v * dark))
        self.image.paste((16, 16, 20), (0, 0), mask)

    def plate(self, box, color, radius=12, depth=6, shade=0.10, shadow=0.5):
        """A rounded plate lit from the upper left, with a bevelled edge and a shadow."""
        b = self.box(*box)
        r = radius * SCALE
        if shadow:
            self.shadow(lambda d: d.rounded_rectangle(b, r, fill=255), dark=shadow)
        self.draw.rounded_rectangle(b, r, fill=light(color, -0.35))
        d = depth * SCALE // 2
        self.draw.rounded_rectangle([b[0], b[1], b[2] - d, b[3] - d], r, fill=light(color, 0.35))
        inner = [b[0] + d, b[1] + d, b[2] - d, b[3] - d]
        w, h = int(inner[2] - inner[0]), int(inner[3] - inner[1])
        if w < 2 or h < 2:
            return
        ramp = Image.linear_gradient("L").resize((w, h))
        top, bottom = light(color, shade), light(color, -shade)
        face = Image.merge(
            "RGB",
            [ramp.point(lambda v, a=a, z=z: round(a + (z - a) * v / 255)) for a, z in zip(top, bottom)],
        )
        mask = Image.new("L", (w, h), 0)
        ImageDraw.Draw(mask).rounded_rectangle([0, 0, w - 1, h - 1], max(1, r - d), fill=255)
        self.image.paste(face, (int(inner[0]), int(inner[1])), mask)

    def hole(self, box, color, radius=8):
        """A recess: dark upper edge, light lower edge."""
        b = self.box(*box)
        r, d = radius * SCALE, 3 * SCALE
        self.draw.rounded_rectangle([b[0], b[1] + d, b[2], b[3] + d], r, fill=light(color, 0.45))
        self.draw.rounded_rectangle([b[0], b[1] - d, b[2], b[3]], r, fill=light(color, -0.6))
        self.draw.rounded_rectangle(b, r, fill=color)

    def rod(self, points, width, color, gloss=0.5, shadow=0.45):
        """A round wire along a curve, lit from the upper left."""
        path = self.at(*smooth(points))
        w = width * SCALE
        if shadow:
            self.shadow(lambda d: stroke(d, path, w, 255), blur=8, dx=8, dy=12, dark=shadow)
        steps = max(6, w // 3)
        for i in range(steps):
            t = i / (steps - 1)
            # From the dark rim to the light line a little above the middle.
            tone = light(color, -0.55 + 0.55 * t) if t < 0.6 else light(color, gloss * (t - 0.6) / 0.4)
            shift = -w * 0.16 * t
            stroke(self.draw, [(x + shift, y + shift) for x, y in path], w * (1 - t * 0.96), tone)

    def disc(self, x, y, radius, color, shadow=0.4):
        """A round head, domed."""
        b = self.box(x - radius, y - radius, x + radius, y + radius)
        if shadow:
            self.shadow(lambda d: d.ellipse(b, fill=255), blur=6, dx=5, dy=8, dark=shadow)
        steps = max(4, round(radius))
        for i in range(steps):
            t = i / steps
            r = radius * (1 - t)
            c = light(color, -0.45 + 0.8 * t if t < 0.75 else 0.15 + 0.25 * t)
            s = radius * 0.22 * t
            self.draw.ellipse(self.box(x - r - s, y - r - s, x + r - s, y + r - s), fill=c)

    def screw(self, x, y, radius, angle=20, kind="slot", color=STEEL):
        """A screw head with a slot or a hexagon socket."""
        self.disc(x, y, radius, color)
        if kind == "slot":
            a = math.radians(angle)
            dx, dy = math.cos(a) * radius * 0.8, math.sin(a) * radius * 0.8
            line = self.at((x - dx, y - dy), (x + dx, y + dy))
            self.draw.line(line, fill=light(color, -0.75), width=round(radius * 0.26 * SCALE))
        else:
            ring = [
                (x + radius * 0.5 * math.cos(math.radians(angle + 60 * i)),
                 y + radius * 0.5 * math.sin(math.radians(angle + 60 * i)))
                for i in range(6)
            ]
            self.draw.polygon(self.at(*ring), fill=light(color, -0.78))

    def words(self, x, y, text, size, color, anchor="mm", bold=False, turn=0):
        """Print on a part, in the project's own typeface."""
        face = FONTS / f"WarmlugSans-{'Semibold' if bold else 'Regular'}.ttf"
        font = ImageFont.truetype(str(face), round(size * SCALE))
        if not turn:
            self.draw.text((x * SCALE, y * SCALE), text, font=font, fill=color, anchor=anchor)
            return
        w = round(font.getlength(text)) + 8
        h = round(size * SCALE * 1.4)
        strip = Image.new("L", (w, h), 0)
        ImageDraw.Draw(strip).text((w / 2, h / 2), text, font=font, fill=255, anchor="mm")
        strip = strip.rotate(turn, expand=True, resample=Image.Resampling.BICUBIC)
        corner = (round(x * SCALE - strip.width / 2), round(y * SCALE - strip.height / 2))
        self.image.paste(color, corner, strip)

    def shade(self, box, strength=1.0):
        """Darkness that fades downwards, as inside a recess."""
        x0, y0, x1, y1 = (round(v * SCALE) for v in box)
        mask = Image.linear_gradient("L").resize((x1 - x0, y1 - y0)).transpose(Image.Transpose.FLIP_TOP_BOTTOM)
        self.image.paste((20, 19, 19), (x0, y0), mask.point(lambda v: round(v * strength)))

    def stain(self, x, y, rx, ry, color, strength):
        """A burnt or dirty patch that fades outwards, uneven at its rim."""
        w, h = round(rx * 2 * SCALE), round(ry * 2 * SCALE)
        spot = Image.radial_gradient("L").resize((w, h)).point(lambda v: max(0, 255 - round(v * 1.45)))
        grain = self.noise(max(2, w // 14), max(2, h // 14)).resize((w, h), Image.Resampling.BICUBIC)
        grain = grain.point(lambda v: 150 + v * 105 // 255)
        mask = ImageChops.multiply(spot, grain).point(lambda v: round(v * strength))
        self.image.paste(color, (round((x - rx) * SCALE), round((y - ry) * SCALE)), mask)

    def finish(self, blur=0.7, vignette=0.35, grain=0.016, warm=0.0, lamp=(0.45, 0.4)):
        """Reduces to the finished size and adds what a phone's lens and sensor add."""
        im = self.image.resize((self.width, self.height), Image.Resampling.LANCZOS)
        im = im.filter(ImageFilter.GaussianBlur(blur))
        # Brightest where the lamp points, darker to the corners.
        span = 2.4 * max(self.width, self.height)
        glow = Image.radial_gradient("L").resize((round(span), round(span)))
        left = round(span / 2 - lamp[0] * self.width)
        top = round(span / 2 - lamp[1] * self.height)
        glow = glow.crop((left, top, left + self.width, top + self.height))
        glow = glow.point(lambda v: round(255 * (1 - vignette * (v / 255) ** 1.5 * 2.2)))
        im = ImageChops.multiply(im, Image.merge("RGB", [glow] * 3))
        fine = self.noise(self.width // 2, self.height // 2).resize(im.size, Image.Resampling.BICUBIC)
        im = Image.blend(im, ImageChops.soft_light(im, Image.merge("RGB", [fine] * 3)), grain * 2)
        if warm:
            im = Image.blend(im, ImageChops.multiply(im, Image.new("RGB", im.size, (255, 232, 196))), warm)
        return im


def smooth(points, steps=14):
    """A curve through points (Catmull-Rom)."""
    if len(points) < 3:
        return points
    p = [points[0], *points, points[-1]]
    out = []
    for i in range(1, len(p) - 2):
        a, b, c, d = p[i - 1], p[i], p[i + 1], p[i + 2]
        for s in range(steps):
            t = s / steps
            out.append(tuple(
                0.5 * (2 * b[k] + (c[k] - a[k]) * t + (2 * a[k] - 5 * b[k] + 4 * c[k] - d[k]) * t * t
                       + (3 * b[k] - a[k] - 3 * c[k] + d[k]) * t ** 3)
                for k in (0, 1)
            ))
    out.append(points[-1])
    return out


def stroke(draw, path, width, color):
    """A thick line with round joints and ends."""
    w = max(1, round(width))
    draw.line(path, fill=color, width=w, joint="curve")
    for x, y in path:
        draw.ellipse([x - w / 2, y - w / 2, x + w / 2, y + w / 2], fill=color)


# ---- Parts ----------------------------------------------------------------------------------


def breaker(s, x, y, w, h, rating, on=True, poles=1):
    """A breaker lying on its side as in a load centre, its handle towards the middle."""
    s.plate((x, y, x + w, y + h), (52, 53, 57), radius=8, depth=5, shadow=0.35)
    s.plate((x + 10, y + 8, x + w * 0.42, y + h - 8), (70, 71, 76), radius=6, depth=3, shadow=0)
    hx0, hx1 = x + w * 0.5, x + w * 0.82
    s.hole((hx0, y + h * 0.24, hx1, y + h * 0.76), (24, 24, 27), radius=6)
    kx = hx1 - (hx1 - hx0) * 0.5 if on else hx0
    s.plate((kx, y + h * 0.2, kx + (hx1 - hx0) * 0.5, y + h * 0.8), (96, 97, 102), radius=5, depth=4, shadow=0.3)
    s.words(x + w * 0.24, y + h * 0.5, rating, 22 if poles == 1 else 30, (236, 236, 236), bold=True)
    s.words(hx0 - 14, y + h * 0.5, "ON" if on else "OFF", 12, (225, 225, 225), turn=90)


def terminal(s, x, y, w, h, label, strip=COPPER, bare=26, screw_kind="slot", angle=25, mark=None):
    """A lug with its screw and the bare end of a conductor that comes in from below.

    `mark` is a line of paint across screw and lug, which shows whether the screw has turned
    since: the angle by which its two halves have parted.
    """
    s.plate((x, y, x + w, y + h), STEEL, radius=10, depth=7)
    s.texture((x + 6, y + 6, x + w - 6, y + h - 6), 3, 0.18, (10, 1))
    cx = x + w / 2
    s.hole((x + w * 0.18, y + h * 0.56, x + w * 0.82, y + h * 0.94), (40, 38, 38), radius=10)
    if bare:
        s.rod([(cx, y + h * 0.72), (cx, y + h + bare)], round(w * 0.42), strip, gloss=0.6, shadow=0)
    # The end of the conductor lies in the shade of the lug.
    s.shade((x + w * 0.2, y + h * 0.57, x + w * 0.8, y + h * 0.8))
    s.screw(cx, y + h * 0.3, w * 0.24, angle, screw_kind)
    if mark is not None:
        r, y0 = w * 0.24, y + h * 0.3
        for turn, near, far in ((mark, 0.45, 0.95), (0, 1.08, 1.75)):
            c, d = math.cos(math.radians(-28 + turn)), math.sin(math.radians(-28 + turn))
            line = s.at((cx + r * near * c, y0 + r * near * d), (cx + r * far * c, y0 + r * far * d))
            s.draw.line(line, fill=(226, 186, 44), width=9 * SCALE)
    if label:
        s.words(cx, y - 30, label, 40, (238, 238, 238), bold=True)


def wall(s, color, coarse=14, strength=0.16):
    """Painted plaster."""
    s.draw.rectangle([0, 0, *s.image.size], fill=color)
    s.texture((0, 0, s.width, s.height), 90, strength)
    s.texture((0, 0, s.width, s.height), coarse, strength * 0.35)
    s.texture((0, 0, s.width, s.height), 4, 0.08)


def label_tape(s, x, y, text, size=26):
    """A strip from a label printer."""
    w = len(text) * size * 0.62 + 30
    s.plate((x, y, x + w, y + size * 1.7), (238, 236, 226), radius=4, depth=2, shadow=0.3)
    s.words(x + w / 2, y + size * 0.86, text, size, (24, 24, 28), bold=True)


# ---- Scenes ---------------------------------------------------------------------------------


def load_center(hot=False, closed=False):
    """A load centre with its cover off: the charger's breaker sits left in the second row."""
    s = Scene(1600, 1200, (186, 178, 164), 11)
    wall(s, (190, 182, 168))
    s.plate((230, 40, 1370, 1180), (150, 154, 158), radius=16, depth=16)
    s.hole((280, 90, 1320, 1130), (92, 96, 100), radius=8)
    s.texture((280, 90, 1320, 1130), 4, 0.12, (8, 1))
    # Busbars and neutral bar.
    for x in (742, 828):
        s.plate((x, 150, x + 30, 1080), (176, 152, 96), radius=4, depth=5, shadow=0.3)
        s.texture((x, 150, x + 30, 1080), 2, 0.2, (1, 20))
    for x in (322, 1248):
        s.plate((x, 420, x + 34, 1060), ALUMINIUM, radius=4, depth=5)
        for i in range(15):
            s.screw(x + 17, 450 + i * 41, 11, 35 + i * 23)
    # Main breaker.
    s.plate((620, 110, 980, 262), (48, 49, 53), radius=10, depth=8)
    s.hole((740, 150, 860, 222), (22, 22, 25), radius=8)
    s.plate((792, 146, 852, 226), (98, 99, 104), radius=6, depth=5)
    s.words(680, 186, "125", 36, (236, 236, 236), bold=True)
    s.words(925, 186, "MAIN", 24, (236, 236, 236), bold=True)
    # Small circuits: the wires first, so that they run under the devices.
    rows = [(300 + i * 96) for i in range(8)]
    for i, y in enumerate(rows):
        gutter = 1130 + i * 9
        right = [(990, y + 42), (1060, y + 44), (gutter - 20, y + 74), (gutter, y + 150), (gutter, 1128)]
        s.rod(right, 13, [BLACK_WIRE, RED_WIRE][i % 2])
        s.rod([(1262, 466 + i * 82), (1232, 500 + i * 82), (1216 + i * 3, 620 + i * 60), (1214 + i * 3, 1128)], 10, WHITE_WIRE)
        if i not in (1, 2):
            gutter = 446 - i * 9
            left = [(610, y + 42), (540, y + 44), (gutter + 20, y + 74), (gutter, y + 150), (gutter, 1128)]
            s.rod(left, 13, [RED_WIRE, BLACK_WIRE][i % 2])
    # The charger's two conductors, heavier than the rest.
    s.rod([(612, 440), (560, 440), (492, 490), (476, 600), (482, 1128)], 26, BLACK_WIRE)
    s.rod([(612, 532), (570, 534), (534, 576), (524, 680), (528, 1128)], 26, RED_WIRE)
    s.rod([(338, 900), (366, 930), (560, 1040), (576, 1128)], 16, GREEN_WIRE)
    for i, y in enumerate(rows):
        breaker(s, 800, y, 196, 84, ["20", "20", "15", "20", "15", "15", "30", "20"][i])
        if i not in (1, 2):
            breaker(s, 604, y, 190, 84, ["15", "", "", "20", "20", "15", "20", "20"][i])
    y = rows[1]
    s.plate((604, y, 794, y + 180), (52, 53, 57), radius=8, depth=5, shadow=0.35)
    for k in (0, 1):
        yy = y + 14 + k * 96
        s.hole((694, yy + 10, 760, yy + 50), (24, 24, 27), radius=6)
        s.plate((728, yy + 6, 760, yy + 54), (96, 97, 102), radius=5, depth=4, shadow=0.3)
        s.screw(628, yy + 30, 17, 20 + 50 * k)
    s.plate((732, y + 40, 756, y + 140), (96, 97, 102), radius=4, depth=3, shadow=0.2)
    s.words(666, y + 88, "50", 34, (236, 236, 236), bold=True)
    label_tape(s, 398, 384, "EV CHARGER", 22)
    s.words(1145, 250, "PANEL A", 26, (226, 226, 226), bold=True)
    return s.finish(lamp=(0.45, 0.42))


def charger_open():
    """A charger with its cover off, upright: terminal block at the bottom."""
    s = Scene(1200, 1600, (176, 184, 186), 23)
    wall(s, (178, 184, 184))
    s.plate((210, 120, 990, 1360), (54, 58, 64), radius=70, depth=18)
    s.hole((260, 180, 940, 1300), (34, 36, 40), radius=44)
    # Circuit board behind a shield.
    s.plate((310, 230, 890, 760), (36, 92, 70), radius=12, depth=6)
    s.texture((310, 230, 890, 760), 6, 0.12)
    for i in range(10):
        x, y = 350 + (i % 5) * 105, 290 + (i // 5) * 90
        s.plate((x, y, x + 74, y + 46), (30, 30, 33), radius=4, depth=3, shadow=0.3)
    for x in (400, 540, 680):
        s.plate((x, 520, x + 120, 640), (24, 60, 120), radius=10, depth=6)
        s.words(x + 60, 580, "RELAY", 20, (220, 226, 236), bold=True)
    for x in (360, 850):
        s.disc(x, 700, 34, (60, 64, 72))
    s.words(600, 820, "SUPPLY 208–240 V ~", 28, (206, 208, 212), bold=True)
    s.words(600, 858, "MAX 40 A CONTINUOUS", 24, (206, 208, 212))
    s.plate((320, 900, 880, 1100), (206, 204, 192), radius=12, depth=8)
    for x, wire, name in ((360, BLACK_WIRE, "L1"), (540, RED_WIRE, "L2"), (720, GREEN_WIRE, "G")):
        cx, thick = x + 60, 42 if name != "G" else 30
        s.words(cx, 928, name, 34, (30, 30, 34), bold=True)
        s.hole((x + 8, 1030, x + 112, 1098), (52, 48, 46), radius=10)
        s.rod([(cx, 1066), (cx, 1150)], thick - 12, COPPER, shadow=0)
        s.shade((x + 12, 1032, x + 108, 1080))
        s.screw(cx, 990, 33, 30 if name == "L1" else 75, "hex")
        s.rod([(cx, 1142), (cx, 1200), (600 + (x - 540) * 0.42, 1330), (600 + (x - 540) * 0.3, 1420)], thick, wire)
    s.plate((470, 1330, 730, 1420), (70, 74, 80), radius=20, depth=8)
    s.plate((510, 1420, 690, 1600), (96, 98, 102), radius=6, depth=8)
    return s.finish(lamp=(0.5, 0.5), warm=0.25)


def breaker_terminals():
    """Close up: the two terminals of the charger's breaker with their conductors."""
    s = Scene(1600, 1200, (60, 62, 66), 37)
    s.draw.rectangle([0, 0, *s.image.size], fill=(92, 96, 100))
    s.texture((0, 0, 1600, 1200), 5, 0.2, (10, 1))
    s.plate((180, -60, 1420, 620), (50, 51, 55), radius=24, depth=14)
    s.texture((180, 0, 1420, 620), 3, 0.10)
    s.words(800, 96, "50 A   240 V ~", 52, (224, 224, 224), bold=True)
    s.words(800, 168, "WIRE Cu/Al   TIGHTEN TO 45 in·lb   75 °C", 32, (206, 206, 206))
    for x, wire, name, angle, mark in ((380, BLACK_WIRE, "L1", 62, 24), (980, RED_WIRE, "L2", 18, 0)):
        cx = x + 120
        lean = -70 if name == "L1" else 60
        terminal(s, x, 300, 240, 330, name, bare=130, angle=angle, mark=mark)
        s.rod([(cx, 770), (cx, 880), (cx + lean * 0.4, 1010), (cx + lean, 1280)], 124, wire, gloss=0.35)
    # Where the insulation of L1 has darkened a little, nothing more.
    s.stain(500, 780, 90, 60, (74, 58, 46), 0.5)
    return s.finish(blur=0.8, lamp=(0.42, 0.4))


def thermal_view():
    """What the display of the thermal imager showed: both terminals, one leg warmer."""
    s = Scene(1600, 1200, (20, 20, 24), 41)
    s.draw.rectangle([0, 0, *s.image.size], fill=(30, 31, 35))
    s.plate((60, 50, 1540, 1150), (44, 46, 52), radius=60, depth=18)
    # Heat map at low resolution, as such detectors have it, then enlarged.
    w, h = 120, 84
    heat = Image.new("L", (w, h))
    px = heat.load()
    rng = random.Random(5)
    for y in range(h):
        for x in range(w):
            v = 44 + 10 * y / h
            for cx, peak, size in ((38, 168, 9), (82, 84, 9)):
                body = math.exp(-(((x - cx) / (size * 1.25)) ** 2 + ((y - 30) / size) ** 2))
                wire = math.exp(-(((x - cx) / 5.2) ** 2)) * (0.72 * math.exp(-(y - 30) / 46) if y > 30 else 0)
                v += peak * max(body, wire)
            v += 16 * math.exp(-(((x - 60) / 46) ** 4)) / (1 + math.exp((y - 44) / 4))
            px[x, y] = max(0, min(255, round(v + rng.uniform(-3, 3))))
    stops = [(0, (8, 8, 30)), (60, (58, 16, 110)), (120, (186, 38, 92)), (180, (244, 130, 38)), (230, (252, 220, 90)), (255, (255, 255, 236))]
    table = []
    for v in range(256):
        for (a, ca), (b, cb) in zip(stops, stops[1:]):
            if a <= v <= b:
                table.append(mix(ca, cb, (v - a) / (b - a)))
                break
    big = heat.resize((1300 * SCALE, 910 * SCALE), Image.Resampling.BICUBIC)
    colored = Image.merge("RGB", [big.point([c[k] for c in table]) for k in range(3)])
    s.image.paste(colored, (100 * SCALE, 145 * SCALE))
    for i in range(256):
        y = 1000 - i * 3
        s.draw.rectangle(s.box(1430, y - 3, 1470, y), fill=table[i])
    s.words(1450, 212, "94 °F", 28, (240, 240, 240), bold=True)
    s.words(1450, 1026, "62 °F", 28, (240, 240, 240), bold=True)
    for x, y, text in ((512, 470, "92.0"), (988, 470, "76.6")):
        for r, c in ((26, (0, 0, 0)), (24, (255, 255, 255))):
            s.draw.ellipse(s.box(x - r, y - r, x + r, y + r), outline=c, width=3 * SCALE)
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            s.draw.line(s.at((x + dx * 12, y + dy * 12), (x + dx * 40, y + dy * 40)), fill=(255, 255, 255), width=3 * SCALE)
        s.words(x + 54, y - 36, f"{text} °F", 36, (255, 255, 255), anchor="lm", bold=True)
    s.words(120, 100, "ε 0.95", 32, (225, 225, 225), anchor="lm", bold=True)
    s.words(800, 100, "18 in", 32, (225, 225, 225), bold=True)
    s.words(1470, 100, "10:56", 32, (225, 225, 225), anchor="rm", bold=True)
    s.words(512, 1100, "L1", 40, (235, 235, 235), bold=True)
    s.words(988, 1100, "L2", 40, (235, 235, 235), bold=True)
    return s.finish(blur=0.7, vignette=0.2)


def torque_driver():
    """A torque screwdriver on the terminal of L1, breaker off and locked."""
    s = Scene(1600, 1200, (92, 96, 100), 43)
    s.draw.rectangle([0, 0, *s.image.size], fill=(96, 99, 103))
    s.texture((0, 0, 1600, 1200), 5, 0.2, (10, 1))
    s.plate((-60, 260, 720, 1120), (50, 51, 55), radius=24, depth=12)
    s.words(150, 690, "50", 120, (228, 228, 228), bold=True)
    s.hole((330, 560, 620, 820), (22, 22, 25), radius=16)
    s.plate((340, 570, 450, 810), (98, 99, 104), radius=12, depth=8)
    s.words(545, 690, "OFF", 54, (232, 232, 232), bold=True, turn=90)
    # Lock on the handle.
    s.plate((300, 400, 520, 560), (188, 34, 34), radius=22, depth=10)
    s.words(410, 462, "LOCKED", 34, (250, 250, 250), bold=True)
    s.words(410, 510, "DO NOT OPERATE", 21, (250, 250, 250), bold=True)
    for y, wire, path in (
        (380, BLACK_WIRE, [(940, 470), (1040, 486), (1190, 600), (1300, 900), (1330, 1290)]),
        (860, RED_WIRE, [(940, 950), (1020, 962), (1110, 1040), (1160, 1280)]),
    ):
        s.rod([(840, y + 90), (970, y + 90)], 52, COPPER, shadow=0)
        s.rod(path, 92, wire, gloss=0.35)
        s.plate((700, y, 880, y + 170), STEEL, radius=12, depth=8)
        s.texture((706, y + 6, 874, y + 164), 3, 0.18, (10, 1))
        s.screw(770, y + 66, 46, 40)
    # The tool comes from the upper right.
    s.rod([(770, 446), (1010, 300)], 30, (176, 180, 186), gloss=0.8)
    s.rod([(1000, 306), (1090, 252)], 64, (60, 62, 68), gloss=0.4)
    s.rod([(1085, 256), (1500, 0)], 128, (222, 142, 30), gloss=0.45)
    for t in range(9):
        x, y = 1150 + t * 36, 216 - t * 22
        s.draw.line(s.at((x - 30, y - 50), (x + 30, y + 50)), fill=(150, 92, 16), width=5 * SCALE)
    s.words(1046, 262, "45", 34, (244, 244, 244), bold=True, turn=31)
    return s.finish(blur=0.7, lamp=(0.5, 0.4))


def receptacle_face(s, cx, cy, scale=1.0, burnt=True):
    """A four-wire 50 A receptacle: two slots for the legs, one for
    the neutral below, a round ground above."""
    k = scale
    s.plate((cx - 330 * k, cy - 420 * k, cx + 330 * k, cy + 420 * k), (60, 61, 64), radius=26, depth=12)
    s.texture((round(cx - 320 * k), round(cy - 410 * k), round(cx + 320 * k), round(cy + 410 * k)), 4, 0.12)
    face = s.box(cx - 270 * k, cy - 270 * k, cx + 270 * k, cy + 270 * k)
    s.shadow(lambda d: d.ellipse(face, fill=255), dark=0.4)
    s.draw.ellipse(face, fill=(28, 28, 31))
    s.draw.ellipse(s.box(cx - 262 * k, cy - 262 * k, cx + 262 * k, cy + 262 * k), fill=(48, 48, 52))
    s.draw.ellipse(s.box(cx - 250 * k, cy - 250 * k, cx + 250 * k, cy + 250 * k), fill=(42, 42, 46))
    if burnt:
        s.stain(cx - 130 * k, cy + 8 * k, 150 * k, 190 * k, (108, 66, 30), 0.95)
        s.stain(cx - 130 * k, cy + 6 * k, 96 * k, 140 * k, (60, 34, 16), 0.9)
        s.stain(cx - 116 * k, cy - 66 * k, 50 * k, 40 * k, (164, 132, 92), 0.6)
    for x in (-130, 130):
        s.hole((cx + (x - 17) * k, cy - 76 * k, cx + (x + 17) * k, cy + 84 * k), (8, 8, 9), radius=5)
    s.hole((cx - 16 * k, cy + 96 * k, cx + 16 * k, cy + 210 * k), (8, 8, 9), radius=4)
    d = s.box(cx - 42 * k, cy - 204 * k, cx + 42 * k, cy - 120 * k)
    s.draw.ellipse(d, fill=(8, 8, 9))
    s.draw.arc(d, 20, 160, fill=(96, 96, 100), width=4 * SCALE)
    if burnt:
        # The edge of the slot has softened.
        edge = s.at((cx - 150 * k, cy - 84 * k), (cx - 156 * k, cy - 20 * k), (cx - 150 * k, cy + 40 * k), (cx - 148 * k, cy + 92 * k))
        s.draw.line(edge, fill=(86, 56, 30), width=9 * SCALE, joint="curve")
    for y in (-360, 360):
        s.screw(cx, cy + y * k, 26 * k, 40 if y < 0 else 100)


def receptacle():
    s = Scene(1600, 1200, (170, 166, 156), 53)
    wall(s, (172, 166, 154))
    receptacle_face(s, 800, 600, 1.15)
    s.words(458, 604, "L1", 38, (232, 232, 232), bold=True)
    s.words(1142, 604, "L2", 38, (232, 232, 232), bold=True)
    s.words(800, 942, "50 A  125/250 V", 28, (206, 206, 206), bold=True)
    return s.finish(blur=0.7, lamp=(0.45, 0.45), warm=0.2)


def plug():
    """The charger's plug, blades up, one blade brown."""
    s = Scene(1600, 1200, (122, 104, 84), 59)
    s.draw.rectangle([0, 0, *s.image.size], fill=(150, 122, 92))
    s.texture((0, 0, 1600, 1200), 9, 0.35, (24, 1))
    s.texture((0, 0, 1600, 1200), 3, 0.12)
    s.rod([(800, 900), (800, 1040), (900, 1160), (1100, 1240)], 170, (36, 36, 39), gloss=0.25)
    s.plate((480, 560, 1120, 980), (40, 40, 44), radius=90, depth=18)
    s.plate((560, 480, 1040, 640), (46, 46, 50), radius=40, depth=12)
    s.words(800, 830, "50 A  125/250 V", 34, (190, 190, 194), bold=True)

    def blade(x, w, top, color):
        s.plate((x - w / 2, top, x + w / 2, 520), color, radius=8, depth=7)
        s.texture((int(x - w / 2), top, int(x + w / 2), 520), 2, 0.14, (1, 16))

    brass = (202, 172, 108)
    blade(800, 46, 190, brass)
    s.disc(800, 186, 24, brass, shadow=0)
    blade(640, 84, 230, (132, 96, 62))
    s.stain(640, 360, 60, 150, (62, 38, 24), 0.85)
    s.stain(632, 270, 34, 44, (70, 70, 96), 0.55)
    s.stain(640, 520, 120, 56, (92, 60, 36), 0.7)
    blade(960, 84, 230, brass)
    s.words(640, 700, "L1", 48, (224, 224, 228), bold=True)
    s.words(960, 700, "L2", 48, (224, 224, 228), bold=True)
    return s.finish(blur=0.7, lamp=(0.45, 0.4), warm=0.15)


def aluminium_lugs():
    """The aluminium conductors at the breaker, grey joint compound on the strands, upright."""
    s = Scene(1200, 1600, (92, 96, 100), 61)
    s.draw.rectangle([0, 0, *s.image.size], fill=(88, 92, 97))
    s.texture((0, 0, 1200, 1600), 5, 0.2, (1, 10))
    s.plate((120, -60, 1080, 720), (50, 51, 55), radius=24, depth=14)
    s.words(600, 120, "40 A   240 V ~   GROUND FAULT", 40, (224, 224, 224), bold=True)
    s.words(600, 190, "AL9CU   TIGHTEN TO 40 in·lb", 32, (206, 206, 206))
    for x, name, angle in ((250, "L1", 80), (730, "L2", 25)):
        cx = x + 110
        lean = -50 if name == "L1" else 50
        terminal(s, x, 330, 220, 330, name, strip=ALUMINIUM, bare=0, angle=angle)
        # Strands between lug and insulation.
        for i in range(7):
            dx = (i - 3) * 13
            s.rod([(cx + dx * 0.9, 580), (cx + dx * 0.9, 700), (cx + dx, 820), (cx + dx, 990)], 17, ALUMINIUM, gloss=0.7, shadow=0)
        s.shade((x + 46, 518, x + 174, 610))
        s.stain(cx, 660, 84, 60, (104, 106, 104), 0.85)
        s.rod([(cx, 984), (cx, 1120), (cx + lean, 1340), (cx + lean * 1.6, 1680)], 118, (58, 58, 62), gloss=0.3)
        # A ring of electrical tape to aim the thermometer at.
        s.plate((cx - 68, 1070, cx + 68, 1180), (24, 24, 26), radius=12, depth=5, shadow=0.3)
    return s.finish(blur=0.7, lamp=(0.5, 0.4))


def closed_panel():
    """A panel that stayed closed: cover on, nobody had proved it dead."""
    s = Scene(1600, 1200, (150, 140, 128), 67)
    s.draw.rectangle([0, 0, *s.image.size], fill=(164, 128, 104))
    # Brick wall.
    for row in range(16):
        for col in range(-1, 10):
            x = col * 180 + (90 if row % 2 else 0)
            tone = s.rng.uniform(-0.18, 0.16)
            s.plate((x + 4, row * 76 + 4, x + 176, row * 76 + 72), light((150, 88, 66), tone), radius=5, depth=4, shadow=0)
    s.texture((0, 0, 1600, 1200), 8, 0.14)
    s.plate((480, 90, 1120, 1110), (148, 152, 154), radius=18, depth=16)
    s.texture((490, 100, 1110, 1100), 4, 0.08)
    s.plate((540, 160, 1060, 1040), (156, 160, 162), radius=10, depth=8, shadow=0.25)
    s.hole((1000, 560, 1036, 660), (60, 62, 66), radius=8)
    s.plate((590, 230, 1010, 400), (232, 176, 30), radius=10, depth=3, shadow=0)
    s.words(800, 278, "WARNING", 52, (24, 24, 24), bold=True)
    s.words(800, 330, "Live parts inside.", 32, (24, 24, 24))
    s.words(800, 368, "Lock out before opening.", 28, (24, 24, 24))
    label_tape(s, 650, 470, "UNIT 12   60 A", 30)
    s.plate((740, 1110, 860, 1240), (134, 138, 142), radius=6, depth=10)
    return s.finish(lamp=(0.5, 0.4), warm=0.1)


def charger_display():
    """The charger at work on little current, spot thermometer aimed at its cover."""
    s = Scene(1600, 1200, (150, 140, 128), 71)
    s.draw.rectangle([0, 0, *s.image.size], fill=(164, 128, 104))
    for row in range(16):
        for col in range(-1, 10):
            x = col * 180 + (90 if row % 2 else 0)
            tone = s.rng.uniform(-0.18, 0.16)
            s.plate((x + 4, row * 76 + 4, x + 176, row * 76 + 72), light((150, 88, 66), tone), radius=5, depth=4, shadow=0)
    s.texture((0, 0, 1600, 1200), 8, 0.14)
    s.rod([(560, 900), (540, 1040), (400, 1150), (260, 1240)], 60, (30, 30, 33), gloss=0.3)
    s.plate((300, 120, 820, 940), (226, 228, 230), radius=80, depth=18)
    s.plate((380, 230, 740, 480), (20, 26, 34), radius=26, depth=8, shadow=0.2)
    s.words(560, 318, "8 A", 96, (120, 226, 170), bold=True)
    s.words(560, 420, "CHARGING   98 %", 34, (120, 226, 170), bold=True)
    s.draw.rounded_rectangle(s.box(420, 540, 700, 552), 6 * SCALE, fill=(60, 190, 120))
    s.hole((470, 640, 650, 820), (60, 62, 66), radius=90)
    # Spot of the thermometer, and the instrument itself.
    s.stain(572, 600, 22, 22, (255, 40, 40), 1.0)
    s.rod([(1180, 760), (1320, 1240)], 150, (58, 66, 88), gloss=0.3)
    s.plate((980, 560, 1480, 800), (92, 142, 150), radius=50, depth=16)
    s.plate((900, 600, 1010, 740), (44, 46, 50), radius=24, depth=10)
    s.plate((1250, 600, 1440, 720), (176, 190, 172), radius=10, depth=5, shadow=0.2)
    s.words(1345, 660, "34.6 °C", 42, (28, 34, 28), bold=True)
    s.words(1130, 680, "12:1", 44, (16, 30, 34), bold=True)
    return s.finish(lamp=(0.4, 0.4), warm=0.1)


def board_open():
    """A distribution board on rails with its cover off: four-pole breaker left, residual-current
    device beside it, the charger's cable leaving below."""
    s = Scene(1600, 1200, (206, 208, 206), 83)
    wall(s, (214, 212, 204))
    s.plate((200, 60, 1400, 1150), (232, 233, 231), radius=18, depth=14)
    s.hole((250, 110, 1350, 1100), (188, 190, 190), radius=10)
    s.texture((250, 110, 1350, 1100), 5, 0.08, (8, 1))
    for y in (400, 830):
        s.plate((280, y, 1320, y + 44), STEEL, radius=3, depth=6, shadow=0.3)
        s.texture((280, y, 1320, y + 44), 2, 0.2, (20, 1))
    # Busbar comb above the first row, then its wires.
    wires = [(BROWN_WIRE, "L1"), (BLACK_WIRE, "L2"), (GREY_WIRE, "L3"), (BLUE_WIRE, "N")]
    for i, (wire, _) in enumerate(wires):
        x = 372 + i * 72
        s.rod([(x, 300), (x, 236), (x + 30, 170), (x + 60, 112)], 24, wire)
        gutter = 330 + i * 62
        s.rod([(x, 560), (x, 640), (gutter, 720), (gutter, 800), (gutter, 1098)], 24, wire)
        s.rod([(742 + i * 72, 300), (742 + i * 72, 220), (800 + i * 66, 150), (800 + i * 66, 112)], 20, wire)
    # The breaker: four poles with one handle.
    for i, (_, name) in enumerate(wires):
        x = 338 + i * 72
        s.plate((x, 290, x + 68, 570), (224, 225, 226), radius=6, depth=5, shadow=0.3)
        for y in (318, 542):
            s.hole((x + 14, y - 22, x + 54, y + 14), (70, 70, 72), radius=8)
            s.screw(x + 34, y - 4, 15, 30 + i * 37, "slot")
        s.hole((x + 18, 390, x + 50, 470), (40, 40, 44), radius=5)
        s.words(x + 34, 500, name, 20, (40, 44, 52), bold=True)
    s.plate((356, 396, 608, 430), (40, 44, 52), radius=6, depth=5, shadow=0.3)
    s.words(482, 366, "C 40   400 V ~", 22, (40, 44, 52), bold=True)
    # The residual-current device.
    s.plate((706, 290, 998, 570), (224, 225, 226), radius=6, depth=5, shadow=0.3)
    for i in range(4):
        for y in (318, 542):
            s.hole((722 + i * 72, y - 22, 762 + i * 72, y + 14), (70, 70, 72), radius=8)
            s.screw(742 + i * 72, y - 4, 15, 70 - i * 29, "slot")
    s.hole((880, 380, 940, 470), (40, 40, 44), radius=6)
    s.plate((886, 384, 934, 424), (40, 44, 52), radius=5, depth=4, shadow=0.3)
    s.disc(780, 430, 22, (232, 190, 60))
    s.words(780, 478, "T", 22, (40, 44, 52), bold=True)
    s.words(850, 362, "40 A   30 mA   TYPE A", 20, (40, 44, 52), bold=True)
    # Small circuits on the second row.
    for i in range(12):
        x = 350 + i * 76
        s.plate((x, 740, x + 70, 966), (224, 225, 226), radius=6, depth=5, shadow=0.3)
        s.hole((x + 18, 820, x + 52, 890), (40, 40, 44), radius=5)
        s.plate((x + 20, 822, x + 50, 852), (40, 44, 52), radius=4, depth=3, shadow=0.2)
        s.words(x + 35, 918, "B 16" if i % 3 else "B 10", 18, (40, 44, 52), bold=True)
        s.rod([(x + 35, 960), (x + 35, 1020), (x + 20, 1098)], 13, [BROWN_WIRE, BLACK_WIRE, GREY_WIRE][i % 3])
    label_tape(s, 1040, 330, "WALLBOX", 28)
    label_tape(s, 1040, 400, "3 × 32 A", 24)
    return s.finish(lamp=(0.42, 0.4))


def block_open():
    """The terminal block of the three-phase charger, its cover off, with the screwdriver's mark."""
    s = Scene(1600, 1200, (60, 64, 70), 89)
    s.draw.rectangle([0, 0, *s.image.size], fill=(52, 56, 62))
    s.texture((0, 0, 1600, 1200), 6, 0.14)
    s.plate((80, 120, 1520, 640), (206, 204, 196), radius=20, depth=12)
    s.words(800, 176, "3N ~ 400 V   32 A   10 mm²   M5", 34, (40, 42, 46), bold=True)
    parts = [(BROWN_WIRE, "L1"), (BLACK_WIRE, "L2"), (GREY_WIRE, "L3"), (BLUE_WIRE, "N"), (GREEN_WIRE, "PE")]
    for i, (wire, name) in enumerate(parts):
        x = 150 + i * 270
        cx = x + 110
        s.rod([(cx, 560), (cx, 700), (cx + (800 - cx) * 0.1, 860), (cx + (800 - cx) * 0.45, 1240)], 78, wire, gloss=0.35)
        if name == "PE":
            s.rod([(cx - 12, 640), (cx - 12, 700), (cx - 12 + (800 - cx) * 0.1, 860), (cx - 12 + (800 - cx) * 0.45, 1240)], 22, (232, 200, 60), gloss=0.3, shadow=0)
        terminal(s, x, 280, 220, 270, "", bare=70, angle=20 + i * 31, screw_kind="slot", mark=0)
        s.words(cx, 236, name, 40, (30, 30, 34), bold=True)
    # A spider's thread and dust in the corner.
    s.stain(1380, 1060, 190, 120, (150, 146, 138), 0.6)
    for k in range(6):
        s.draw.line(s.at((1240 + k * 40, 1190), (1500, 900 + k * 42)), fill=(168, 168, 166), width=2)
    return s.finish(blur=0.7, lamp=(0.5, 0.4))


# ---- The firm -------------------------------------------------------------------------------


def logo():
    """The firm's mark on a transparent ground: a lug, seen from the side, and the name."""
    k = 4
    im = Image.new("RGBA", (720 * k, 180 * k), (0, 0, 0, 0))
    d = ImageDraw.Draw(im)
    blue, amber = (22, 66, 110, 255), (226, 128, 20, 255)
    d.rounded_rectangle([10 * k, 10 * k, 170 * k, 170 * k], 34 * k, fill=blue)
    d.ellipse([52 * k, 36 * k, 128 * k, 112 * k], fill=(255, 255, 255, 255))
    d.ellipse([74 * k, 58 * k, 106 * k, 90 * k], fill=blue)
    d.rectangle([76 * k, 104 * k, 104 * k, 170 * k], fill=amber)
    name = ImageFont.truetype(str(FONTS / "WarmlugSans-Semibold.ttf"), 62 * k)
    kind = ImageFont.truetype(str(FONTS / "WarmlugSans-Regular.ttf"), 38 * k)
    d.text((200 * k, 76 * k), "Brindlewick", font=name, fill=blue, anchor="lm")
    d.text((202 * k, 134 * k), "Electric", font=kind, fill=(70, 78, 88, 255), anchor="lm")
    im = im.resize((720, 180), Image.Resampling.LANCZOS).crop((0, 0, 540, 180))
    return im.quantize(64, Image.Quantize.FASTOCTREE)


def signature():
    """A handwritten name in blue ink on a transparent ground."""
    k = 4
    ink = Image.new("L", (640 * k, 200 * k), 0)
    d = ImageDraw.Draw(ink)
    strokes = [
        [(60, 150), (84, 60), (104, 44), (100, 100), (96, 150), (128, 78), (152, 46), (150, 104), (146, 148)],
        [(176, 132), (196, 112), (188, 142), (172, 140), (190, 120), (212, 112), (206, 138), (222, 134),
         (236, 112), (232, 140), (244, 118), (260, 114), (272, 126), (262, 142), (276, 140), (292, 122),
         (288, 140), (302, 118), (314, 116), (312, 140), (332, 132)],
        [(392, 60), (360, 96), (372, 146), (424, 140), (446, 88), (416, 52), (384, 70)],
        [(456, 128), (478, 116), (468, 142), (490, 136), (516, 62), (504, 138), (520, 140), (538, 120),
         (530, 140), (552, 128), (560, 118), (552, 164), (528, 186), (520, 170), (580, 134), (616, 120)],
    ]
    for points in strokes:
        path = smooth([(x * k, y * k) for x, y in points], 40)
        for i, (x, y) in enumerate(path):
            # A pen presses harder in the middle of a stroke.
            r = (2.0 + 1.2 * math.sin(math.pi * i / len(path)) + 0.7 * math.sin(i / 23)) * k * 0.8
            d.ellipse([x - r, y - r, x + r, y + r], fill=255)
    ink = ink.resize((640, 200), Image.Resampling.LANCZOS)
    im = Image.new("RGBA", ink.size, (24, 44, 128, 0))
    im.putalpha(ink)
    return im.quantize(32, Image.Quantize.FASTOCTREE)


# ---- Files ----------------------------------------------------------------------------------


def sideways(image):
    """As a phone stores a portrait photo: pixels on their side, and orientation 6 to say so."""
    exif = Image.Exif()
    exif[0x0112] = 6
    return image.transpose(Image.Transpose.ROTATE_90), exif


def located():
    """A position far out at sea, and the other things that a phone tells of itself."""
    exif = Image.Exif()
    exif[0x010F] = "Example Phones"
    exif[0x0110] = "Example 1"
    exif[0x0112] = 1
    exif[0x0132] = "2024:11:13 09:36:12"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "S", (48.0, 52.0, 31.75)
    gps[3], gps[4] = "W", (123.0, 23.0, 33.07)
    exif[0x8825] = gps
    return exif


def save(image, path, exif=None):
    target = HERE / path
    target.parent.mkdir(parents=True, exist_ok=True)
    if path.endswith(".png"):
        image.save(target, optimize=True)
    else:
        extra = {"exif": exif} if exif is not None else {}
        for quality in range(82, 40, -3):
            image.save(target, quality=quality, optimize=True, subsampling="4:2:0", **extra)
            if target.stat().st_size <= MOST_BYTES:
                break
    print(f"{target.relative_to(HERE)}: {target.stat().st_size / 1024:.0f} KB")


def main():
    mark, hand = logo(), signature()
    for visit in ("townhouse-first", "townhouse-return", "receptacle-aluminium"):
        save(mark, f"{visit}/logo.png")
        save(hand, f"{visit}/signature.png")
    save(load_center(), "townhouse-first/photos/panel.jpg", located())
    stored, exif = sideways(charger_open())
    save(stored, "townhouse-first/photos/charger.jpg", exif)
    save(breaker_terminals(), "townhouse-return/photos/terminals.jpg")
    save(thermal_view(), "townhouse-return/photos/thermal.jpg")
    save(torque_driver(), "townhouse-return/photos/torque.jpg")
    save(receptacle(), "receptacle-aluminium/photos/receptacle.jpg")
    save(plug(), "receptacle-aluminium/photos/plug.jpg")
    stored, exif = sideways(aluminium_lugs())
    save(stored, "receptacle-aluminium/photos/lugs.jpg", exif)
    save(closed_panel(), "limited-visit/photos/panel.jpg")
    save(charger_display(), "limited-visit/photos/charger.jpg")
    save(board_open(), "carport-three-phase/photos/board.jpg")
    save(block_open(), "carport-three-phase/photos/charger.jpg")


if __name__ == "__main__":
    main()
