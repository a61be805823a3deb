"""Following files, against a model: whatever is done to a folder, notes stay with their cloth."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from quiltgeom.onhand.index import OnHand, open_index
from quiltgeom.onhand.scan import digest_of, survey
from quiltgeom.onhand.stock import take_stock

NAMES = st.sampled_from([f"{d}{n}.png" for d in ("", "drawer/", "box/") for n in "abcd"])


class Folder(RuleBasedStateMachine):
    """A folder and what should be known of it. Files hold a few bytes: nothing is read here."""

    def __init__(self) -> None:
        super().__init__()
        self.place = tempfile.TemporaryDirectory()
        self.folder = Path(self.place.name).resolve()
        self.files: dict[str, tuple[bytes, int]] = {}  # name -> (bytes, row)
        self.gone: dict[bytes, int] = {}  # bytes of files that went -> row
        self.made = 0

    def teardown(self) -> None:
        self.place.cleanup()

    @initialize()
    def begin(self) -> None:
        for name in ("a.png", "b.png", "box/c.png"):
            self.add(name)

    def index(self) -> OnHand:
        return open_index(self.folder, create=True)

    def stock(self) -> None:
        with self.index() as index:
            take_stock(index, self.folder, survey(self.folder), None)

    def row(self, name: str) -> int:
        with self.index() as index:
            return index.find(str(self.folder / name)).id

    def fresh(self) -> bytes:
        self.made += 1
        return f"cloth {self.made}".encode()

    def write(self, name: str, data: bytes) -> None:
        path = self.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)

    @rule(name=NAMES)
    def add(self, name: str) -> None:
        if name in self.files:
            return
        data = self.fresh()
        self.write(name, data)
        self.stock()
        self.files[name] = (data, self.row(name))
        self.gone = {d: r for d, r in self.gone.items() if r != self.files[name][1]}
        with self.index() as index:
            index.say(self.files[name][1], notes=data.decode())

    @precondition(lambda self: self.files)
    @rule(data=st.data(), to=NAMES)
    def rename(self, data: st.DataObject, to: str) -> None:
        name = data.draw(st.sampled_from(sorted(self.files)))
        if to in self.files:
            return
        (self.folder / to).parent.mkdir(exist_ok=True)
        (self.folder / name).rename(self.folder / to)
        self.stock()
        self.files[to] = self.files.pop(name)

    @precondition(lambda self: len(self.files) > 1)
    @rule(data=st.data())
    def swap(self, data: st.DataObject) -> None:
        one, other = data.draw(
            st.lists(st.sampled_from(sorted(self.files)), min_size=2, max_size=2, unique=True)
        )
        for name, other_name in ((one, other), (other, one)):
            (self.folder / name).write_bytes(self.files[other_name][0])
        self.stock()
        self.files[one], self.files[other] = self.files[other], self.files[one]

    @precondition(lambda self: self.files)
    @rule(data=st.data())
    def new_photo(self, data: st.DataObject) -> None:
        """Other bytes at the same path: the same cloth, photographed again."""
        name = data.draw(st.sampled_from(sorted(self.files)))
        fresh = self.fresh()
        (self.folder / name).write_bytes(fresh)
        self.stock()
        self.files[name] = (fresh, self.files[name][1])

    @precondition(lambda self: self.files)
    @rule(data=st.data())
    def remove(self, data: st.DataObject) -> None:
        name = data.draw(st.sampled_from(sorted(self.files)))
        (self.folder / name).unlink()
        self.stock()
        content, row = self.files.pop(name)
        self.gone[content] = row

    @precondition(lambda self: self.gone)
    @rule(data=st.data(), to=NAMES)
    def bring_back(self, data: st.DataObject, to: str) -> None:
        content = data.draw(st.sampled_from(sorted(self.gone)))
        if to in self.files:
            return
        self.write(to, content)
        self.stock()
        self.files[to] = (content, self.gone.pop(content))

    @invariant()
    def every_file_has_its_row(self) -> None:
        with self.index() as index:
            found = {s.path.relative_to(self.folder).as_posix(): s for s in index.swatches()}
            everything = index.swatches(missing=True)
        assert {n: (s.digest, s.id) for n, s in found.items()} == {
            n: (digest_of(d), r) for n, (d, r) in self.files.items()
        }
        assert len({s.id for s in everything}) == len(everything)
        assert all(s.notes for s in everything), "a note was lost"


Folder.TestCase.settings = settings(max_examples=25, stateful_step_count=20, deadline=None)
TestFolder = Folder.TestCase
