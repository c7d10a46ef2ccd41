"""Results kept by content: one file per key, written whole, believed only if its checksum and types hold.

The key is the hash of everything a result depends on, so nothing is ever stale; a damaged, truncated or
foreign entry reads as absent and is computed again. `pipeline` is the only caller.
"""

import hashlib
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import msgspec

Result = TypeVar("Result")
CHECKSUM_BYTES = 64


def default_folder() -> Path:
    """`$SLOWFOLIO_CACHE`, else the user's cache folder of the XDG base-directory specification."""
    if folder := os.environ.get("SLOWFOLIO_CACHE"):
        return Path(folder)
    base = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(base) / "slowfolio"


def content_key(*parts: Any) -> str:
    """SHA-256 of the canonical JSON of `parts` (dataclasses, numbers, strings, containers of these)."""
    canonical = msgspec.json.encode(msgspec.to_builtins(parts, str_keys=True), order="deterministic")
    return hashlib.sha256(canonical).hexdigest()


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of results by content key. An unwritable folder only means that nothing is kept."""

    folder: Path

    def read(self, key: str, kind: type[Result]) -> Result | None:
        """Return the entry of `key` as `kind`, or None where there is none that can be trusted."""
        try:
            blob = self._file(key).read_bytes()
        except OSError:
            return None
        checksum, payload = blob[:CHECKSUM_BYTES], blob[CHECKSUM_BYTES:]
        if _checksum(payload) != checksum:
            return None
        try:
            return msgspec.json.decode(payload, type=kind)
        except msgspec.MsgspecError:
            return None

    def write(self, key: str, value: Any) -> None:
        """Keep `value` under `key`; the entry appears whole or not at all."""
        payload = msgspec.json.encode(value)
        target = self._file(key)
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=target.parent, delete=False) as file:
                file.write(_checksum(payload) + payload)
            os.replace(file.name, target)
        except OSError:
            return

    def fetch(self, key: str, kind: type[Result], compute: Callable[[], Result]) -> Result:
        """Return the kept entry, or compute it and keep it."""
        kept = self.read(key, kind)
        if kept is None:
            kept = compute()
            self.write(key, kept)
        return kept

    def _file(self, key: str) -> Path:
        return self.folder / key[:2] / f"{key[2:]}.json"


def _checksum(payload: bytes) -> bytes:
    return hashlib.sha256(payload).hexdigest().encode("ascii")
