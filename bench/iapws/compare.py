#!/usr/bin/env python3
"""Compares water properties of `kg reading` with Debian's python3-iapws.

    apt-get install python3-iapws
    go build -o kg ./cmd/kg && python3 bench/iapws/compare.py ./kg

Prints the largest relative difference of each property over 0 to 150 degrees C
and 1 to 16 bar, and fails where one exceeds 1e-8. The library is an independent
implementation; it is no dependency of the tests.
"""
import json
import subprocess
import sys

from iapws.iapws97 import _PSat_T, _Region1

ALLOWED = 1e-8


def ask(kg, model, celsius, bar=None):
    words = [kg, "reading", model, f"at={celsius}C", "--json"]
    if bar is not None:
        words.append(f"pressure={bar} bar abs")
    return json.loads(subprocess.run(words, check=True, capture_output=True).stdout)["expected"]


def main():
    kg = sys.argv[1] if len(sys.argv) > 1 else "kg"
    worst = {}

    def compare(name, ours, theirs):
        worst[name] = max(worst.get(name, 0), abs(ours / theirs - 1))

    for celsius in range(1, 151, 7):
        kelvin = celsius + 273.15
        boiling = 10 * _PSat_T(kelvin)
        compare("boiling pressure", ask(kg, "water-boiling", celsius), boiling)
        for bar in (1.01325, 2.5, 6, 16):
            if bar <= boiling:
                continue
            w = _Region1(kelvin, bar / 10)
            compare("density", ask(kg, "water-density", celsius, bar), 1 / w["v"])
            compare("enthalpy", ask(kg, "water-enthalpy", celsius, bar), w["h"])
            compare("heat of a litre", ask(kg, "water-heat", celsius, bar), w["cp"] / w["v"] / 1000)
    for name, difference in worst.items():
        print(f"{name:18} {difference:.1e}")
    return int(max(worst.values()) > ALLOWED)


if __name__ == "__main__":
    sys.exit(main())
