"""What makes a built site usable without a network: the service worker, the manifest, and the one zip file.

Works on a finished folder of files; knows nothing of pages. Called by `build` after MkDocs.
"""

import hashlib
import json
import zipfile
from pathlib import Path

from slowfolio.resources import site_sources_folder

SERVICE_WORKER, MANIFEST = "sw.js", "manifest.webmanifest"
LEFT_OUT_SUFFIXES = (".map", ".gz", ".txt")
LEFT_OUT_FOLDERS = ("assets/javascripts/lunr/",)
LEFT_OUT = frozenset({SERVICE_WORKER, "404.html", "sitemap.xml", "search/search_index.js"})
"""Not kept on the device: language packs and maps that no page asks for, and the search index for folders,
which is the JSON index once more."""

HASH_LENGTH = 16
ZIP_DATE = (2000, 1, 1, 0, 0, 0)


def add_offline_files(folder: Path, *, name: str) -> None:
    """Write manifest and service worker for the site in `folder`. The same files give the same worker."""
    (folder / MANIFEST).write_text(manifest(name), encoding="utf-8")
    (folder / SERVICE_WORKER).write_text(service_worker(kept_files(folder)), encoding="utf-8")


def kept_files(folder: Path) -> dict[str, str]:
    """Every file to keep on a device, by its address, with a hash of its content."""
    return {
        name: hashlib.sha256(path.read_bytes()).hexdigest()[:HASH_LENGTH]
        for path in sorted(folder.rglob("*"))
        if path.is_file() and _is_kept(name := path.relative_to(folder).as_posix())
    }


def _is_kept(name: str) -> bool:
    return not (
        name in LEFT_OUT or name.startswith((".", *LEFT_OUT_FOLDERS)) or name.endswith(LEFT_OUT_SUFFIXES)
    )


def service_worker(files: dict[str, str]) -> str:
    """The worker with its list; its version is the hash of the list."""
    listed = json.dumps(files, indent=0, sort_keys=True)
    version = hashlib.sha256(listed.encode()).hexdigest()[:HASH_LENGTH]
    template = (site_sources_folder() / "templates" / "service-worker.js").read_text("utf-8")
    return template.replace("@VERSION@", version).replace("@FILES@", listed)


def manifest(name: str) -> str:
    """The web app manifest: name, icons and colours."""
    icons = [
        {"src": "assets/icons/icon.svg", "sizes": "any", "type": "image/svg+xml"},
        {"src": "assets/icons/icon-192.png", "sizes": "192x192", "type": "image/png"},
        {"src": "assets/icons/icon-512.png", "sizes": "512x512", "type": "image/png"},
    ]
    return json.dumps(
        {
            "name": name,
            "short_name": name[:12].rstrip(),
            "start_url": "index.html",
            "scope": ".",
            "display": "standalone",
            "background_color": "#faf7ef",
            "theme_color": "#faf7ef",
            "icons": icons,
        },
        ensure_ascii=False,
        indent=1,
    )


def zip_site(folder: Path, target: Path) -> Path:
    """Pack a built site into one file, for a device that opens it from a folder. Same site, same bytes."""
    partial = target.with_name(target.name + ".part")
    with zipfile.ZipFile(partial, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            if path.is_file() and not name.startswith("."):
                entry = zipfile.ZipInfo(f"{target.stem}/{name}", ZIP_DATE)
                entry.compress_type = zipfile.ZIP_DEFLATED
                entry.external_attr = 0o644 << 16
                packed.writestr(entry, path.read_bytes())
    partial.replace(target)
    return target
