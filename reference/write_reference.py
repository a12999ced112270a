"""Everything public as pages, and pictures of what each sample makes, in a folder.

    python reference/write_reference.py FOLDER

writes index.html, samples.html and the pictures to the folder, and nothing anywhere else. The samples' pictures need
the extras: pip install 'toolpaths[lettering,drawings,pictures]'.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from reference_pages import NAMES, PICTURES, names_page, pictures_page
from sample_pictures import sample_pictures
from sample_scripts import sample_names


def write_reference(folder: Path, samples: Sequence[str]) -> list[Path]:
    """Write the pages, with the pictures of these samples; the files written, in order."""
    folder.mkdir(parents=True, exist_ok=True)
    written = [folder / NAMES]
    written[0].write_text(names_page(), encoding="ascii", newline="\n")
    shown = []
    for name in samples:
        sample = sample_pictures(name)
        files = {}
        for end, what, data in sample.pictures:
            path = folder / f"{name}-{end}"
            path.write_bytes(data)
            written.append(path)
            files[what] = path.name
        shown.append((sample, files))
    written.append(folder / PICTURES)
    written[-1].write_text(pictures_page(shown), encoding="ascii", newline="\n")
    return written


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    written = write_reference(Path(sys.argv[1]), sample_names())
    print(f"{len(written)} files written to {sys.argv[1]}.")
