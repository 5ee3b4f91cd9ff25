#!/usr/bin/env python3
"""Packs set.json into the memory that layout.json describes, with nothing of this project: Python's struct and binascii.

    python3 pack.py set.json layout.json image.bin IDENTITY

Python 3.11; struct packs IEEE 754 singles and two's complement, binascii.crc32 is CRC-32/ISO-HDLC. Halves go away from
zero (Python's own round() takes them to the even number).
"""
import binascii
import json
import math
import struct
import sys

TYPES = {"u8": "B", "i8": "b", "u16": "H", "i16": "h", "u32": "I", "i32": "i", "f32": "f"}
MAPS = {"Heave": "heave", "Wheel": "wheel", "Base": "base", "Roll": "roll", "Pitch": "pitch"}
LAWS = {"Continuous": 0, "OnOff": 1, "AccelerationDriven": 2, "Mixed": 3}

car, layout = (json.load(open(name)) for name in sys.argv[1:3])
base = layout["memory"]["address"]
memory = bytearray([layout["memory"].get("fill", 255)] * layout["memory"]["bytes"])
order = "<" if layout["byte_order"] == "Little" else ">"


def put(address, kind, value, factor=1.0, offset=0.0):
    raw = (value - offset) / factor
    raw = raw if kind == "f32" else int(math.copysign(math.floor(abs(raw) + 0.5), raw))
    struct.pack_into(order + TYPES[kind], memory, address - base, raw)


def put_all(place, values):
    size = struct.calcsize(order + TYPES[place["type"]])
    for index, value in enumerate(values):
        put(place["address"] + index * size, place["type"], value, place["factor"], place["offset"])


for at in layout["tables"]:
    mode = car["modes"][at["mode"] - 1] if "mode" in at else None
    name = at["table"]
    if name in MAPS:
        table = mode[MAPS[name]]
        rows, columns, values = table["rows"], table["columns"], table["values_n_s_per_m"]
    elif name == "Floor":
        table = mode["floor"]
        rows, columns, values = table["rows"], table["columns"], table["values_a"]
    elif name.startswith("Inverse"):
        table = mode["inverse_" + name[len("Inverse"):].lower()]
        rows, columns, values = table["velocity_m_per_s"], table["force_n"], table["current_a"]
    else:
        table = car[name[: -len("Damper")].lower()]["bench"]
        rows, columns, values = table["velocity_m_per_s"], table["current_a"], table["force_n"]
    put_all(at["rows"], rows)
    put_all(at["columns"], columns)
    if at["values"]["order"] == "ColumnByColumn":
        values = [list(column) for column in zip(*values)]
    put_all(at["values"], [cell for row in values for cell in row])

for at in layout["settings"]:
    field = car["modes"][at["mode"] - 1] if "mode" in at else car
    if at["setting"] == "law":
        law = field["law"]
        value = LAWS[law if isinstance(law, str) else next(iter(law))]
    else:
        for part in at["setting"].split("."):
            field = field[part]
        value = field
    if value is None:
        put(at["address"], at["type"], at["none"])
    else:
        put(at["address"], at["type"], value, at["factor"], at["offset"])

put(layout["version_at"]["address"], layout["version_at"]["type"], layout["version"])
memory[layout["identity_at"] - base : layout["identity_at"] - base + 32] = bytes.fromhex(sys.argv[4])
at = layout["check"]["address"] - base
struct.pack_into(order + "I", memory, at, binascii.crc32(memory[:at] + memory[at + 4 :]))
open(sys.argv[3], "wb").write(memory)
