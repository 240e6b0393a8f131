"""A client that keeps its own copies with vdirsyncer, and shows them with khal.

vdirsyncer's own fetching knows events by a hash of their content and puts that in place of the UID; from a file it
knows them by UID, as most calendar programs do. So it keeps two copies: one that it fetched, and one from a file
that was fetched with If-None-Match.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import urllib.error
import urllib.request
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tests.feeds.clients import Read, missing, with_icalendar

VDIRSYNCER = """
[general]
status_path = "{folder}/status"
[pair fetched]
a = "site"
b = "by_content"
collections = null
conflict_resolution = "a wins"
[pair filed]
a = "file"
b = "by_uid"
collections = null
conflict_resolution = "a wins"
[storage site]
type = "http"
url = "{url}"
[storage file]
type = "singlefile"
path = "{folder}/fetched.ics"
[storage by_content]
type = "filesystem"
path = "{folder}/by_content"
fileext = ".ics"
[storage by_uid]
type = "filesystem"
path = "{folder}/by_uid"
fileext = ".ics"
"""
KHAL = """
[calendars]
[[yard]]
path = {folder}/by_uid
[locale]
local_timezone = UTC
default_timezone = UTC
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
[sqlite]
path = {folder}/khal.db
"""


@dataclass
class Syncing:
    folder: Path
    url: str
    tag: str = ""

    def sync(self) -> None:
        self._fetch()
        self._run("vdirsyncer", "-c", str(self.folder / "vdirsyncer.conf"), "sync")

    def asks_again(self) -> int:
        """The status of one more fetch with the tag of the last."""
        return self._fetch()

    def _fetch(self) -> int:
        request = urllib.request.Request(self.url, headers={"If-None-Match": self.tag} if self.tag else {})
        try:
            with urllib.request.urlopen(request, timeout=30) as answer:
                (self.folder / "fetched.ics").write_bytes(answer.read())
                self.tag = answer.headers["ETag"]
                return int(answer.status)
        except urllib.error.HTTPError as error:
            if error.code != 304:
                raise
            return error.code

    def holds(self) -> list[Read]:
        """What its files by UID say."""
        return self._in("by_uid")

    def holds_by_content(self) -> list[tuple[Any, ...]]:
        """What the files that vdirsyncer fetched itself say, without the UID."""
        return [each[1:] for each in self._in("by_content")]

    def _in(self, name: str) -> list[Read]:
        paths = (self.folder / name).glob("*.ics")
        return [each for path in paths for each in with_icalendar(path.read_bytes())]

    def shows_in_khal(self) -> set[Read]:
        fields = [word for name in ("uid", "start", "end", "title") for word in ("--json", name)]
        out = self._run("khal", "-c", str(self.folder / "khal.conf"), "list", *fields, "2027-01-01", "2028-12-31")
        rows = [row for line in out.splitlines() for row in json.loads(line)]
        return {(row["uid"], _at(row["start"]), _at(row["end"]), row["title"]) for row in rows}

    def _run(self, tool: str, *words: str) -> str:
        env = os.environ | {"HOME": str(self.folder), "XDG_CONFIG_HOME": str(self.folder), "LC_ALL": "C.UTF-8"}
        command = [str(Path(sys.executable).parent / tool), *words]
        ran = subprocess.run(command, capture_output=True, text=True, timeout=120, env=env, check=False)
        assert ran.returncode == 0, f"{tool}: {ran.stdout[-2000:]} {ran.stderr[-2000:]}"
        return ran.stdout


def _at(words: str) -> datetime:
    return datetime.strptime(words, "%Y-%m-%d %H:%M").replace(tzinfo=UTC)


def syncing_client(folder: Path, url: str) -> Syncing:
    """A client that has subscribed to this address and fetched nothing yet."""
    for tool in ("vdirsyncer", "khal"):
        if not (Path(sys.executable).parent / tool).exists():
            missing(f"no {tool} beside this Python: pip install {tool}")
    for name in ("by_uid", "by_content"):
        (folder / name).mkdir()
    (folder / "vdirsyncer.conf").write_text(VDIRSYNCER.format(folder=folder, url=url))
    (folder / "khal.conf").write_text(KHAL.format(folder=folder))
    client = Syncing(folder, url)
    client._fetch()
    client._run("vdirsyncer", "-c", str(folder / "vdirsyncer.conf"), "discover")
    return client
