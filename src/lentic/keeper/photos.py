"""Photos beside entries of the log: drawn anew without what the camera wrote into them, and kept small."""

from __future__ import annotations

import hashlib
import io
import warnings
from pathlib import Path

from lentic.keeper.desk import Desk
from lentic.keeper.opening import AskError

FOLDER = "photos"
LONGEST_SIDE = 1600
"""A photo is kept so large: enough to see a shell closely. [px]"""
SMALL_SIDE = 320
MOST_PIXELS = 60_000_000
MOST_BYTES = 16 * 1024 * 1024
FORMATS = ("JPEG", "PNG", "WEBP")
QUALITY = 85


def attach(desk: Desk, name: str, entry: int, data: bytes) -> None:
    """Keep a photo beside an entry of the log."""
    if entry not in {each.id for each in desk.held(name).entries}:
        raise AskError("There is no such entry in the log. Load the page again.")
    large, size = drawn_anew(data, LONGEST_SIDE)
    small, _ = drawn_anew(data, SMALL_SIDE)
    digest = hashlib.sha256(large).hexdigest()
    folder = desk.home / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    for content, path in ((large, folder / f"{digest}.jpg"), (small, folder / f"{digest}.small.jpg")):
        fresh = path.with_suffix(".part")
        fresh.write_bytes(content)
        fresh.replace(path)
    desk.store.attach(name, entry, digest, size, desk.now())


def drawn_anew(data: bytes, longest: int) -> tuple[bytes, tuple[int, int]]:
    """Return a picture as a JPEG of at most a size, upright, with nothing of the file it came in but its colours."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(data) > MOST_BYTES:
        raise AskError("The photo is larger than 16 MB. Send a smaller one.")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=FORMATS) as found:
                if found.width * found.height > MOST_PIXELS:
                    raise AskError("The photo has more than 60 million pixels. Send a smaller one.")
                found.draft("RGB", (longest, longest))
                upright = ImageOps.exif_transpose(found).convert("RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombWarning) as error:
        raise AskError("This is no photo that can be read. JPEG, PNG and WebP can.") from error
    upright.thumbnail((longest, longest))
    clean = Image.new("RGB", upright.size)
    clean.paste(upright)
    out = io.BytesIO()
    clean.save(out, "JPEG", quality=QUALITY)
    return out.getvalue(), clean.size


def file_of(desk: Desk, digest: str, small: bool) -> Path | None:
    """Return the file of a photo, if there is one."""
    if len(digest) != 64 or not all(sign in "0123456789abcdef" for sign in digest):
        return None
    path = desk.home / FOLDER / f"{digest}{'.small' if small else ''}.jpg"
    return path if path.is_file() else None


def remove(desk: Desk, number: int) -> None:
    """Take a photo away from its entry, and its files where nothing else shows them."""
    digest = desk.store.detach(number)
    if digest is not None:
        for small in (False, True):
            path = file_of(desk, digest, small)
            if path is not None:
                path.unlink(missing_ok=True)
