"""Writes what Windrow has of others in it, with their licences' texts: packaging/third_party.py > THIRD-PARTY.txt.

The crates are those that `cargo tree` says the program is built of; their texts are the files that each brings. A crate that brings none is
printed with its licence's name and gets the text from whoever else has one. It knows no rule about what may come in: that is deny.toml's.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
NAMES = re.compile(r"^(licen[cs]e|copying|notice|copyright|unlicense)", re.IGNORECASE)
# Not crates: files of others in the pages.
IN_THE_PAGES = [
    ("B612, Noto Music and Noto Serif (parts of fonts)", "OFL-1.1", TOP / "web/static/fonts/OFL.txt"),
    ("@fluent/bundle 0.19.1", "Apache-2.0", TOP / "web/static/fluent/LICENCE.txt"),
]


def cargo(*arguments):
    return subprocess.run(["cargo", *arguments], cwd=TOP, check=True, capture_output=True, text=True).stdout


def built_in():
    """Name and version of every crate in the program, as "name version"."""
    tree = cargo("tree", "-p", "windrow", "-e", "normal", "--prefix", "none", "--format", "{p}", "--locked")
    words = (line.split() for line in tree.splitlines() if line)
    return {f"{word[0]} {word[1].removeprefix('v')}" for word in words}


def texts_of(package):
    folder = Path(package["manifest_path"]).parent
    files = sorted(path for path in folder.iterdir() if path.is_file() and NAMES.match(path.name))
    return [path.read_text(encoding="utf-8", errors="replace").replace("\r\n", "\n").strip() for path in files]


def main():
    built = built_in()
    metadata = json.loads(cargo("metadata", "--format-version", "1", "--locked"))
    packages = [p for p in metadata["packages"] if p["source"] and f"{p['name']} {p['version']}" in built]
    packages.sort(key=lambda p: (p["name"], p["version"]))
    texts, without = {}, []
    lines = ["Windrow is built with these works of others. Their licences' texts follow.", ""]
    for package in packages:
        own = texts_of(package)
        mark = ""
        if not own:
            without.append(package)
            mark = "; brings no text"
        for text in own:
            texts.setdefault(re.sub(r"\s+", " ", text), (text, []))[1].append(f"{package['name']} {package['version']}")
        where = package["repository"] or "crates.io"
        lines.append(f"{package['name']} {package['version']}: {package['license']} ({where}){mark}")
    for name, licence, path in IN_THE_PAGES:
        lines.append(f"{name}: {licence}")
        text = path.read_text(encoding="utf-8").strip()
        texts.setdefault(re.sub(r"\s+", " ", text), (text, []))[1].append(name)
    every = " ".join(texts)
    for package in without:
        named = re.split(r"\s+(?:OR|AND)\s+|/", package["license"].replace("(", "").replace(")", ""))
        known = {"MIT": "Permission is hereby granted, free of charge", "Apache-2.0": "Apache License Version 2.0",
                 "MPL-2.0": "Mozilla Public License", "ISC": "Permission to use, copy, modify, and", "Unicode-3.0": "UNICODE LICENSE V3"}
        if not any(known.get(name, "\0").lower() in every.lower() for name in named):
            print(f"no text at all for {package['name']}: {package['license']}", file=sys.stderr)
            return 1
    print("\n".join(lines))
    for text, whose in texts.values():
        print(f"\n{'=' * 80}\n{', '.join(whose)}\n{'=' * 80}\n\n{text}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
