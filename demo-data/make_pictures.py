#!/usr/bin/env python3
"""Draws the demo's pictures and letters. Python's standard library only; the same bytes at every run.

    python3 demo-data/make_pictures.py

Pictures are schematic PNGs with a palette, each under 6 KB; letters are one-page PDFs. Everything shown is invented.
The letters carry no date, since the demo's years follow the day it is made on.
"""

import math
import random
import struct
import zlib
from pathlib import Path

HERE = Path(__file__).parent
WIDTH, HEIGHT = 320, 240

PALETTE = [
    ("paper", 0xF4F1EA),
    ("wall", 0xC9CCCE),
    ("wall-shade", 0xB9BDC0),
    ("joint", 0xA3A7AA),
    ("ink", 0x26292C),
    ("crack", 0x3A3330),
    ("soil", 0x7A6654),
    ("soil-shade", 0x6B5947),
    ("wood", 0xC79F6B),
    ("wood-shade", 0xA9824F),
    ("water", 0x6E93AD),
    ("damp", 0x9AA7AC),
    ("damp-shade", 0x86949B),
    ("steel", 0x6D747A),
    ("chalk", 0xE6E4DD),
    ("mark", 0xA8552F),
    ("leaf", 0x8A7A3C),
]
INDEX = {name: place for place, (name, _) in enumerate(PALETTE)}


class Picture:
    def __init__(self, ground="paper"):
        self.rows = [bytearray([INDEX[ground]]) * WIDTH for _ in range(HEIGHT)]

    def dot(self, x, y, colour):
        x, y = int(x), int(y)
        if 0 <= x < WIDTH and 0 <= y < HEIGHT:
            self.rows[y][x] = INDEX[colour]

    def box(self, x0, y0, x1, y1, colour):
        for y in range(max(0, int(y0)), min(HEIGHT, int(y1))):
            for x in range(max(0, int(x0)), min(WIDTH, int(x1))):
                self.rows[y][x] = INDEX[colour]

    def frame(self, x0, y0, x1, y1, colour):
        self.line(x0, y0, x1, y0, colour)
        self.line(x1, y0, x1, y1, colour)
        self.line(x1, y1, x0, y1, colour)
        self.line(x0, y1, x0, y0, colour)

    def disc(self, cx, cy, radius, colour):
        for y in range(int(cy - radius), int(cy + radius) + 1):
            for x in range(int(cx - radius), int(cx + radius) + 1):
                if (x - cx) ** 2 + (y - cy) ** 2 <= radius * radius:
                    self.dot(x, y, colour)

    def line(self, x0, y0, x1, y1, colour, thick=1.0):
        steps = int(max(abs(x1 - x0), abs(y1 - y0), 1))
        for step in range(steps + 1):
            x = x0 + (x1 - x0) * step / steps
            y = y0 + (y1 - y0) * step / steps
            if thick <= 1:
                self.dot(x, y, colour)
            else:
                self.disc(x, y, thick / 2, colour)

    def path(self, points, colour, thick=1.0):
        for (x0, y0), (x1, y1) in zip(points, points[1:]):
            self.line(x0, y0, x1, y1, colour, thick)

    def speckle(self, x0, y0, x1, y1, colour, count, seed):
        """Dots on `count` places of the box: the grain of concrete, soil or chalk."""
        chance = random.Random(seed)
        for _ in range(count):
            self.dot(chance.uniform(x0, x1), chance.uniform(y0, y1), colour)

    def ruler(self, x, y, length, ticks):
        """A bar of equal steps beside what is measured."""
        for step in range(ticks):
            colour = "ink" if step % 2 == 0 else "chalk"
            self.box(x + length * step / ticks, y, x + length * (step + 1) / ticks, y + 7, colour)
        self.frame(x, y, x + length, y + 7, "ink")

    def save(self, name):
        def chunk(tag, data):
            body = tag + data
            return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

        header = struct.pack(">IIBBBBB", WIDTH, HEIGHT, 8, 3, 0, 0, 0)
        palette = b"".join(colour.to_bytes(3, "big") for _, colour in PALETTE)
        raw = b"".join(b"\0" + bytes(row) for row in self.rows)
        parts = [chunk(b"IHDR", header), chunk(b"PLTE", palette), chunk(b"IDAT", zlib.compress(raw, 9)), chunk(b"IEND", b"")]
        data = b"\x89PNG\r\n\x1a\n" + b"".join(parts)
        assert len(data) < 6 * 1024, f"{name} has {len(data)} bytes"
        (HERE / name).write_bytes(data)


def poured_wall(picture):
    """A poured wall: broad form boards, tie holes, a floor below."""
    picture.box(0, 0, WIDTH, 200, "wall")
    for y in range(40, 200, 40):
        picture.line(0, y, WIDTH, y, "wall-shade")
    for y in range(20, 200, 80):
        for x in range(40, WIDTH, 80):
            picture.disc(x, y, 2, "joint")
    picture.speckle(0, 0, WIDTH, 200, "wall-shade", 260, 1)
    floor(picture)


def floor(picture):
    picture.box(0, 200, WIDTH, HEIGHT, "damp")
    picture.line(0, 200, WIDTH, 200, "ink")
    picture.speckle(0, 202, WIDTH, HEIGHT, "damp-shade", 120, 2)


def courses(picture, height, length, until=200, face="wall"):
    """Courses of blocks or stones with staggered head joints."""
    picture.box(0, 0, WIDTH, until, face)
    for row, y in enumerate(range(0, until, height)):
        picture.line(0, y, WIDTH, y, "joint")
        for x in range(-(length // 2) * (row % 2), WIDTH, length):
            picture.line(x, y, x, min(y + height, until) - 1, "joint")


def wander(x, y0, y1, lean, seed):
    """Points of a crack that runs down from y0 to y1."""
    chance = random.Random(seed)
    points = [(x, y0)]
    for y in range(y0 + 8, y1 + 1, 8):
        points.append((x + lean * (y - y0) + chance.uniform(-4, 4), y))
    return points


def mark(picture, x, y):
    """The mark at which a series is read: a line across the crack between two dots."""
    picture.line(x - 16, y, x + 16, y, "mark")
    picture.disc(x - 16, y, 2.5, "mark")
    picture.disc(x + 16, y, 2.5, "mark")


def crack_north():
    picture = Picture()
    poured_wall(picture)
    points = wander(170, 0, 200, -0.05, 7)
    picture.path(points, "crack", 1)
    mark(picture, *points[12])
    picture.ruler(200, 92, 60, 6)
    picture.save("crack-north.png")


def crack_south(name, thick, stain):
    picture = Picture()
    poured_wall(picture)
    points = wander(130, 0, 200, 0.25, 11)
    if stain:
        for (x, y) in points[10:]:
            picture.disc(x + 3, y + 4, 9 + (y - 80) / 14, "damp")
    picture.path(points, "crack", thick)
    mark(picture, *points[12])
    picture.ruler(200, 92, 60, 6)
    picture.save(name)


def crack_stepped():
    picture = Picture()
    courses(picture, 25, 64)
    # Down each head joint, along each bed joint to the next.
    x, y = 64, 0
    points = [(x, y)]
    for _ in range(7):
        y += 25
        points += [(x, y), (x + 32, y)]
        x += 32
    picture.path(points, "crack", 3)
    mark(picture, 128, 62)
    picture.ruler(200, 90, 60, 6)
    picture.box(0, 200, WIDTH, HEIGHT, "soil")
    picture.speckle(0, 200, WIDTH, HEIGHT, "soil-shade", 200, 3)
    picture.save("crack-stepped.png")


def crack_bed_joint():
    picture = Picture()
    chance = random.Random(5)
    picture.box(0, 0, WIDTH, 200, "joint")
    for row, y in enumerate(range(2, 200, 33)):
        x = -chance.randint(0, 40)
        while x < WIDTH:
            length = chance.randint(38, 84)
            picture.box(x + 2, y, x + length - 2, y + 30, "wall" if (x + row) % 3 else "wall-shade")
            x += length
    points = [(x, 99 + chance.uniform(-1.5, 1.5)) for x in range(20, 301, 14)]
    picture.path(points, "crack", 4)
    picture.line(160, 84, 160, 116, "mark")
    picture.disc(160, 84, 2.5, "mark")
    picture.disc(160, 116, 2.5, "mark")
    floor(picture)
    picture.save("crack-bed-joint.png")


def crack_slab():
    picture = Picture("wall")
    picture.speckle(0, 0, WIDTH, HEIGHT, "wall-shade", 600, 4)
    picture.line(0, 30, WIDTH, 30, "joint", 3)
    chance = random.Random(9)
    points = [(30 + step * 13, 40 + step * 9 + chance.uniform(-5, 5)) for step in range(20)]
    picture.path(points, "crack", 2)
    mark(picture, *points[9])
    picture.ruler(200, 60, 60, 6)
    picture.save("crack-slab.png")


def damp_corner(name, reach):
    picture = Picture()
    picture.box(0, 0, 160, 200, "wall")
    picture.box(160, 0, WIDTH, 200, "wall-shade")
    for x in range(160 - reach, 160 + reach):
        rise = reach - abs(x - 160) + 6 * math.sin(x / 7)
        picture.box(x, 200 - max(0, rise), x + 1, 200, "damp-shade")
    picture.line(160, 0, 160, 200, "ink")
    picture.speckle(160 - reach, 188 - reach, 160 + reach, 196 - reach, "chalk", 90, 6)
    picture.box(0, 190, WIDTH, 200, "wood")
    picture.line(0, 190, WIDTH, 190, "wood-shade")
    floor(picture)
    picture.save(name)


def damp_joists():
    picture = Picture("soil-shade")
    for x in range(10, WIDTH, 62):
        picture.box(x, 0, x + 24, 120, "wood")
        picture.line(x + 24, 0, x + 24, 120, "wood-shade", 2)
    picture.disc(165, 70, 46, "wood-shade")
    picture.box(0, 26, WIDTH, 38, "steel")
    picture.box(150, 18, 176, 46, "ink")
    for drop in range(4):
        picture.disc(163, 60 + drop * 24, 3, "water")
    picture.box(0, 170, WIDTH, HEIGHT, "soil")
    picture.disc(163, 186, 14, "water")
    picture.save("damp-joists.png")


def pump_pit():
    picture = Picture("damp")
    picture.speckle(0, 0, WIDTH, HEIGHT, "damp-shade", 300, 8)
    picture.disc(160, 130, 92, "ink")
    picture.disc(160, 130, 86, "soil-shade")
    picture.disc(160, 138, 76, "water")
    picture.disc(150, 140, 34, "steel")
    picture.disc(150, 140, 27, "ink")
    picture.box(143, 0, 157, 140, "chalk")
    picture.frame(143, 0, 157, 140, "joint")
    picture.line(186, 148, 205, 172, "ink", 2)
    picture.disc(208, 176, 12, "mark")
    picture.save("pump-pit.png")


def downspout():
    picture = Picture()
    courses(picture, 14, 40, until=190)
    picture.box(0, 190, WIDTH, HEIGHT, "soil")
    picture.box(0, 0, WIDTH, 16, "steel")
    picture.box(90, 16, 112, 120, "steel")
    picture.line(112, 138, 170, 176, "steel", 20)
    for drop in range(6):
        picture.disc(96 + 3 * (drop % 2), 130 + drop * 11, 3, "water")
    picture.disc(100, 196, 20, "water")
    picture.save("downspout.png")


def vent():
    picture = Picture()
    courses(picture, 25, 64)
    picture.box(110, 80, 210, 140, "ink")
    for y in range(86, 140, 9):
        picture.line(112, y, 208, y, "steel", 3)
    chance = random.Random(12)
    for _ in range(150):
        x = chance.uniform(104, 216)
        picture.disc(x, chance.uniform(110, 146), chance.uniform(2, 5), "leaf")
    picture.line(96, 74, 226, 132, "wood", 14)
    picture.box(0, 200, WIDTH, HEIGHT, "soil")
    picture.save("vent-blocked.png")


def post():
    picture = Picture("soil-shade")
    picture.box(0, 20, WIDTH, 56, "wood")
    picture.line(0, 56, WIDTH, 56, "wood-shade", 2)
    picture.box(142, 70, 182, 186, "wood")
    picture.line(182, 70, 182, 186, "wood-shade", 2)
    picture.box(146, 58, 164, 64, "wood-shade")
    picture.box(140, 64, 160, 69, "wood-shade")
    picture.box(164, 58, 178, 68, "ink")
    picture.box(112, 186, 212, 206, "wall")
    picture.box(0, 206, WIDTH, HEIGHT, "soil")
    picture.speckle(0, 206, WIDTH, HEIGHT, "soil-shade", 160, 13)
    picture.save("post-shims.png")


def walk_step():
    picture = Picture()
    picture.box(0, 118, 162, HEIGHT, "wall")
    picture.box(166, 106, WIDTH, HEIGHT, "wall-shade")
    picture.line(164, 100, 164, HEIGHT, "ink", 3)
    picture.speckle(0, 120, WIDTH, HEIGHT, "joint", 260, 14)
    picture.line(150, 106, 150, 118, "mark", 2)
    picture.line(140, 106, 166, 106, "mark")
    picture.line(140, 118, 162, 118, "mark")
    picture.save("walk-step.png")


def plan_larkspur():
    """The basement from above: walls, the marks of two cracks, the pit, the damp corner, the tree."""
    picture = Picture()
    picture.box(60, 40, 260, 200, "wall")
    picture.box(70, 50, 250, 190, "paper")
    picture.frame(60, 40, 260, 200, "ink")
    picture.frame(70, 50, 250, 190, "ink")
    picture.line(150, 36, 156, 54, "crack", 3)
    picture.line(120, 186, 132, 204, "crack", 3)
    picture.disc(153, 30, 5, "mark")
    picture.disc(126, 211, 5, "mark")
    picture.disc(232, 68, 10, "water")
    picture.frame(216, 52, 248, 84, "joint")
    picture.disc(296, 150, 18, "leaf")
    picture.ruler(70, 222, 100, 10)
    picture.path([(24, 70), (24, 30)], "ink", 2)
    picture.path([(18, 40), (24, 28), (30, 40)], "ink", 2)
    picture.save("plan-larkspur.png")


def letter(name, lines):
    """One page of plain text in Helvetica; no compression, so that it can be read in any editor."""
    def escaped(text):
        return text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")

    text = "BT /F1 11 Tf 72 720 Td 15 TL\n" + "".join(f"({escaped(line)}) Tj T*\n" for line in lines) + "ET"
    objects = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 5 0 R /Resources << /Font << /F1 4 0 R >> >> >>",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
        f"<< /Length {len(text)} >>\nstream\n{text}\nendstream",
    ]
    out, places = "%PDF-1.4\n", []
    for number, content in enumerate(objects, 1):
        places.append(len(out))
        out += f"{number} 0 obj\n{content}\nendobj\n"
    table = "".join(f"{place:010} 00000 n \n" for place in places)
    end = f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}"
    end += f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R >>\nstartxref\n{len(out)}\n%%EOF\n"
    (HERE / name).write_bytes((out + end).encode("ascii"))


def letters():
    letter("letter-larkspur-14.pdf", [
        "Moonbrook & Daughters, Structural Engineers (an invented firm)",
        "",
        "Larkspur Lane 14: crack in the south basement wall",
        "",
        "I looked at the crack from inside, and at the ground and the downspouts outside.",
        "I was shown the record of readings at mark A.",
        "",
        "1. The crack runs through a poured wall that holds earth. It is damp in wet weeks.",
        "2. The readings follow the seasons and lie higher from year to year.",
        "3. Read it each season at mark A with the same gauge. Note water when it is seen.",
        "4. Lead roof water away from this wall. Do not fill the crack rigidly meanwhile.",
        "5. This letter ends on the day given in it. Call me before that if the crack is wider",
        "   than 5 mm, or if the wall stands out of line.",
        "",
        "Odalys Fenwick, PE (invented licence 00-0000)",
        "",
        "Invented for a demonstration. Not a judgement of any real wall.",
    ])
    letter("letter-chapel-9.pdf", [
        "Moonbrook & Daughters, Structural Engineers (an invented firm)",
        "",
        "Chapel Street 9: open bed joint in the west wall of the old basement",
        "",
        "I looked at the wall after the flood, inside and in a trial pit outside.",
        "",
        "1. The joint opened where a later course was laid on the old one. The stones above",
        "   and below stand in line.",
        "2. Read the joint in spring and in autumn at the pins I left.",
        "3. No work is asked for while the readings stay under 2.5 mm.",
        "4. Call me after any flood, and before any digging beside this wall.",
        "",
        "Odalys Fenwick, PE (invented licence 00-0000)",
        "",
        "Invented for a demonstration. Not a judgement of any real wall.",
    ])


if __name__ == "__main__":
    crack_north()
    crack_south("crack-south-early.png", 2, False)
    crack_south("crack-south-late.png", 4, True)
    crack_stepped()
    crack_bed_joint()
    crack_slab()
    damp_corner("damp-corner.png", 70)
    damp_corner("damp-corner-again.png", 40)
    damp_joists()
    pump_pit()
    downspout()
    vent()
    post()
    walk_step()
    plan_larkspur()
    letters()
