"""What the site's build adds to the Markdown: calculators, the font, the search engine, a content security
policy on every page, and the list of files that the service worker keeps.

Runs inside mkdocs, from the project's environment. The theme's own styles and scripts are left out of the site.
"""

from __future__ import annotations

import base64
import hashlib
import itertools
import json
import re
import sys
from pathlib import Path
from typing import Any

import mkdocs.contrib.search
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import event_priority
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page
from mkdocs.utils import get_relative_url

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "scripts")]

from calc.embed import embed  # noqa: E402
from calc.fields import FIELDS  # noqa: E402
from calc.units import unparted  # noqa: E402
from environment import NODE_MODULES  # noqa: E402
from reading import name_tables, ways  # noqa: E402

FONT = NODE_MODULES / "@fontsource" / "atkinson-hyperlegible"
FACES = (("400", "normal"), ("400", "italic"), ("700", "normal"))
LUNR = Path(mkdocs.contrib.search.__file__).parent / "templates" / "search" / "lunr.js"

# Sources that a page gets as one file, in this order: from disk and through the service worker each file costs
# more than its bytes. The sources are kept apart for whoever edits them.
BUNDLES = {
    "look/book.css": (
        "look/font.css",
        "look/page.css",
        "look/text.css",
        "look/answer.css",
        "look/form.css",
        "look/sheet.css",
    ),
    "page/live.js": (
        "page/base.js",
        "page/labels.js",
        "page/entries.js",
        "page/store.js",
        "page/safe.js",
        "page/engine.js",
        "page/form.js",
        "page/cells.js",
        "page/tell.js",
        "page/files.js",
        "page/peek.js",
        "page/block.js",
        "page/tables.js",
        "page/site.js",
    ),
    "page/read.js": ("page/tables.js", "page/site.js"),  # pages without a calculator
}
# The frame that keeps the build has its scripts in it: from disk a page shows no number before the frame has spoken.
FRAME = "store.html"
FRAME_SCRIPTS = ("page/entries.js", "page/store-frame.js")
FRAME_PLACE = '<script src="assets/page/store-frame.js"></script>'

SHORTCODE = re.compile(r"^<!-- ([a-z-]+)(?:: ([^>]*?))? -->$", re.MULTILINE)
PLACE = '<div data-embed="{}"></div>'
LIVE = re.compile(r'class="ta-(?:calc|verdict|record)"')
SHEET = "decide/build-sheet.html"  # where every field has its place
IDS = re.compile(r'\sid="([^"]+)"')
INLINE_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
FROM_ROOT = re.compile(r'(\s(?:href|src|data-root|data-sheet)=")/(?!/)')
OUTSIDE = re.compile(r'<(?!a\b)[a-z]+\b[^>]*\s(?:src|href|data|action)="(?:[a-z]+:)?//[^"]*"')

# worker-src 'self' is for the service worker, manifest-src for the home screen, font-src for the font, which
# is part of a style sheet because one browser refuses a font file to a page from disk.
POLICY = (
    "default-src 'none'; script-src 'self' blob: 'wasm-unsafe-eval'{hashes}; worker-src 'self' blob:; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data:; font-src data:; connect-src 'self'; "
    "manifest-src 'self'; frame-src 'self'"
)


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Leave the theme's own assets out; add the font and the search engine; put scripts and styles together."""
    theirs = [Path(folder) for folder in config.theme.dirs[1:]]
    for file in list(files):
        if file.abs_src_path and any(Path(file.abs_src_path).is_relative_to(folder) for folder in theirs):
            files.remove(file)
    files.append(File.generated(config, "assets/look/font.css", content=font_sheet()))
    files.append(File.generated(config, "assets/look/font-licence.txt", abs_src_path=str(FONT / "LICENSE")))
    files.append(File.generated(config, "assets/page/lunr.js", abs_src_path=str(LUNR)))
    files.append(File.generated(config, "assets/page/labels.js", content=labels()))
    bundle(files, config)
    return files


def bundle(files: Files, config: MkDocsConfig) -> None:
    """Put each bundle in the place of its sources, and the frame's scripts into the frame."""
    sources = {}
    for part in {*itertools.chain(*BUNDLES.values(), FRAME_SCRIPTS)}:
        file = files.get_file_from_path(f"assets/{part}")
        if file is None:
            raise PluginError(f"assets/{part} is named in scripts/hook.py and is not there")
        sources[part] = file.content_string
        files.remove(file)
    for name, parts in BUNDLES.items():
        content = "\n".join(sources[part] for part in parts)
        files.append(File.generated(config, f"assets/{name}", content=content))
    frame = files.get_file_from_path(FRAME)
    page = frame.content_string if frame else ""
    if page.count(FRAME_PLACE) != 1:
        raise PluginError(f"{FRAME} has no place for its scripts")
    files.remove(frame)
    script = "\n".join(sources[part] for part in FRAME_SCRIPTS)
    page = page.replace(FRAME_PLACE, f"<script>{script}</script>")
    files.append(File.generated(config, FRAME, content=page.replace("{hashes}", hashes(page))))


def font_sheet() -> str:
    """The style sheet that holds the typeface, each face as a data address."""
    faces = []
    for weight, style in FACES:
        woff2 = (FONT / "files" / f"atkinson-hyperlegible-latin-{weight}-{style}.woff2").read_bytes()
        faces.append(
            f'@font-face{{font-family:"Atkinson Hyperlegible";font-style:{style};font-weight:{weight};'
            f'src:url(data:font/woff2;base64,{base64.b64encode(woff2).decode()}) format("woff2")}}'
        )
    return "\n".join(faces)


def labels() -> str:
    """The script that names every field as the forms do, also those of other pages."""
    named = json.dumps({key: field.label for key, field in FIELDS.items()}, ensure_ascii=False)
    return f"window.Turnabout.labels = {named};\n"


def on_page_markdown(markdown: str, page: Page, **_: Any) -> str:
    """Expand each line `<!-- word: argument -->`; Markdown never sees what came of it, only its place."""
    embeds: list[str] = []

    def expand(match: re.Match[str]) -> str:
        word, argument = match[1], (match[2] or "").strip()
        try:
            embeds.append(embed(word, argument))
        except (KeyError, ValueError) as error:
            raise PluginError(f"{page.file.src_uri}: '{match[0]}' can't be expanded: {error}") from error
        return PLACE.format(len(embeds) - 1)

    markdown = SHORTCODE.sub(expand, markdown)
    page.meta["embeds"] = embeds
    page.meta["live"] = any(LIVE.search(html) for html in embeds)
    return markdown


def on_page_content(html: str, page: Page, **_: Any) -> str:
    """Name tables, link the page's parts; put expanded ones in their places, forms unsearched, ids good for links."""
    embeds = page.meta.pop("embeds", [])
    html = ways(name_tables(html), embeds)
    for number, part in enumerate(embeds):
        searched = part.replace("<form ", "<form data-search-exclude ")
        if page.file.dest_uri != SHEET:  # a field that an answer names stands on the build sheet
            searched = searched.replace('href="#sheet-', f'href="{get_relative_url(SHEET, page.url)}#sheet-')
        html = html.replace(PLACE.format(number), searched, 1)
        if page.present_anchor_ids is not None:
            page.present_anchor_ids.update(IDS.findall(part))
    return html


def on_post_page(output: str, page: Page, **_: Any) -> str:
    """Keep numbers and units on one line, and give the finished page its content security policy."""
    return secured(unparted(output), page.file.src_uri)


def on_post_template(output_content: str, template_name: str, **_: Any) -> str:
    """The page for a missing address gets the policy too; its addresses count from the root, wherever that is."""
    if not template_name.endswith(".html"):
        return output_content
    return secured(FROM_ROOT.sub(r"\1./", output_content), template_name)


def hashes(html: str) -> str:
    """What a policy says of the inline scripts of a page, so that these run and no others do."""
    digests = (hashlib.sha256(script.encode()).digest() for script in INLINE_SCRIPT.findall(html))
    return "".join(f" 'sha256-{base64.b64encode(digest).decode()}'" for digest in digests)


def secured(html: str, name: str) -> str:
    """The page with the policy that lets its own inline scripts run; refuse a page that loads from elsewhere."""
    outside = OUTSIDE.search(html)
    if outside:
        raise PluginError(f"{name}: loads from outside the site: {outside[0]}")
    meta = f'<meta http-equiv="Content-Security-Policy" content="{POLICY.format(hashes=hashes(html))}">'
    return html.replace('<meta charset="utf-8">', f'<meta charset="utf-8">\n{meta}', 1)


@event_priority(-200)  # after the search plugins have written their index
def on_post_build(config: MkDocsConfig, **_: Any) -> None:
    """Write into the service worker which files it keeps, each with a digest of its content."""
    site = Path(config.site_dir)
    for leftover in ("sitemap.xml", "sitemap.xml.gz", "search/search_index.json"):
        (site / leftover).unlink(missing_ok=True)
    worker = site / "sw.js"
    kept = {
        path.relative_to(site).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()[:12]
        for path in sorted(site.rglob("*"))
        if path.is_file() and path != worker
    }
    text = worker.read_text(encoding="utf-8")
    if text.count("const FILES = {};") != 1:
        raise PluginError("scripts/theme/sw.js has no place for its list of files")
    worker.write_text(
        text.replace("const FILES = {};", f"const FILES = {json.dumps(kept)};"), encoding="utf-8"
    )
