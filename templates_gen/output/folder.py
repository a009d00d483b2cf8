"""The folder that a job writes to: one whole set of files after another, and nobody else's file touched."""

import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from templates_gen.errors import OutputError
from templates_gen.output import journal
from templates_gen.output.files import digest, digest_at, explained, name_fault
from templates_gen.output.guards import Held, locked, note_standing, signals_held
from templates_gen.output.journal import Change
from templates_gen.output.manifest import MANIFEST, Record, is_ours, manifest_bytes, read_manifest, record_of

MOST_NAMES = 5
"""Names of files in one message."""

Signature = tuple[int, int, int]


class OutputFolder:
    """The folder of a job. Make it when the job begins, so that what another run writes meanwhile is noticed.

    If a run was killed in this folder while it put its files in place, its files are taken back here.

    Parameters
    ----------
    directory : path
        Created, with its parents, when files are written.
    owned_names : names
        Files that the job may write: those left from an earlier job and not written by this one are removed.
    say : callable
        Takes what the builder should know, a line at a time.

    Raises
    ------
    OutputError
        When `directory` is no folder, or cannot be put in order.
    """

    def __init__(
        self,
        directory: str | os.PathLike[str],
        owned_names: Collection[str] = (),
        say: Callable[[str], None] = lambda _: None,
    ) -> None:
        self.directory = Path(directory)
        self._owned = tuple(owned_names)
        self._say = say
        with explained(f"cannot write to the folder {self.directory}"):
            if not self.directory.is_dir() and os.path.lexists(self.directory):
                raise NotADirectoryError("this is not a folder; name another one")
            if os.path.lexists(self.directory / journal.STAGING):  # of a run that was killed, or is at work
                with signals_held() as held, self._locked(held):
                    self._recover()
        self._seen = {name: _signature(self.directory / name) for name in self._owned}
        if any(self._seen.values()):
            note_standing(f"nothing was written: the files in {self.directory} are as they were")

    def refuse_foreign(self, names: Iterable[str]) -> None:
        """Refuse files that the program did not write, before the work begins whose result would replace them.

        Raises
        ------
        OutputError
            When there is a file of one of these names that the program did not write, or that was changed since.
        """
        with explained(f"cannot write to the folder {self.directory}"):
            try:
                self._refuse_foreign(names, read_manifest(self.directory))
            except OutputError:  # or another run is putting its files in place: wait until it has
                with signals_held() as held, self._locked(held):
                    self._refuse_foreign(names, read_manifest(self.directory))

    def write(self, files: Mapping[str, bytes], drawing: str = "") -> None:
        """Put a set of files into the folder, all of them or none, in place of the former set.

        Interruptions are held back until the folder is in order: they end the job before the first file is put in
        place, or after the last.

        Parameters
        ----------
        files : mapping
            The bytes of each file by its name.
        drawing : str
            Fingerprint of the hull file that they are made from.

        Raises
        ------
        OutputError
            What is wrong, and where: a name that is not safe, a file of that name that the program did not write or
            that was changed since, another run, or what the system answers. The folder is then as it was.
        """
        _check_names(files)
        with signals_held() as held:
            made: list[Path] = []
            try:
                with explained(f"cannot write to the folder {self.directory}"):
                    self._make_folders(made)
                    with self._locked(held):
                        self._recover()
                        self._replace(files, drawing, held)
                made.clear()
            finally:
                for folder in reversed(made):
                    with suppress(OSError):  # something else may have been put there meanwhile
                        folder.rmdir()
            note_standing(f"the new set is whole: {counted(len(files), 'file')} in {self.directory}")

    def _make_folders(self, made: list[Path]) -> None:
        """Make the folder and its parents; each is added to `made` as soon as it is there."""
        missing = [folder for folder in (self.directory, *self.directory.parents) if not os.path.lexists(folder)]
        for folder in reversed(missing):
            with suppress(FileExistsError):  # another run was quicker
                folder.mkdir()
                made.append(folder)

    @contextmanager
    def _locked(self, held: Held) -> Iterator[None]:
        """Keep other runs out; afterwards remove what is temporary."""
        if (self.directory / journal.STAGING).is_symlink():
            raise OutputError(f"{self.directory / journal.STAGING} is a link; remove it, then run the command again")
        try:
            with locked(self.directory / journal.STAGING / journal.LOCK, self.directory, held.check):
                try:
                    yield
                finally:
                    journal.clear(self.directory)
        finally:
            journal.remove_staging(self.directory)

    def _recover(self) -> None:
        """Take back what a killed run has begun, and remove what it left. Only under the lock."""
        if journal.is_interrupted(self.directory):
            journal.undo(self.directory)
            self._seen = {}
            self._say(
                f"an earlier run was stopped while it put its files into {self.directory}; they were taken back, and "
                "the set before it was restored"
            )
        journal.clear(self.directory)

    def _replace(self, files: Mapping[str, bytes], drawing: str, held: Held) -> None:
        """Stage the files, then put them in place. Only under the lock."""
        records = read_manifest(self.directory)
        self._refuse_race(files, records)
        self._refuse_foreign(files, records)
        leftover = [name for name in self._owned if name not in files and self._is_to_remove(name, records)]
        kept = {name: record for name, record in records.items() if name not in self._owned and name not in files}
        manifest = manifest_bytes(kept | {name: record_of(data, drawing) for name, data in files.items()})
        for name, data in {**files, MANIFEST: manifest}.items():
            with explained(f"cannot write {name} in {self.directory}"):
                journal.stage(self.directory, name, data)
            held.check()
        names = {**{name: digest(data) for name, data in files.items()}, **dict.fromkeys(leftover, "")}
        names[MANIFEST] = digest(manifest)
        changes = [Change(name, new, digest_at(self.directory / name)) for name, new in names.items()]
        held.check()
        journal.put_in_place(self.directory, changes)

    def _is_to_remove(self, name: str, records: Mapping[str, Record]) -> bool:
        """Return whether a file of an earlier set is to go; say so if one stays because it is not as written."""
        path = self.directory / name
        if not os.path.lexists(path):
            return False
        if is_ours(path, records.get(name)):
            return True
        changed = (
            "has been changed since templates-gen wrote it" if name in records else "was not written by templates-gen"
        )
        self._say(f"{path} {changed}: it was left as it is, and is not part of this set")
        return False

    def _refuse_foreign(self, names: Iterable[str], records: Mapping[str, Record]) -> None:
        """Raise OutputError for files that the program did not write, or that were changed since."""
        there = [name for name in names if os.path.lexists(self.directory / name)]
        foreign = [name for name in there if not is_ours(self.directory / name, records.get(name))]
        if not foreign:
            return
        listed = ", ".join(foreign[:MOST_NAMES])
        if len(foreign) > MOST_NAMES:
            listed += f" and {len(foreign) - MOST_NAMES} more"
        them, were = ("it", "was") if len(foreign) == 1 else ("them", "were")
        raise OutputError(
            f"{listed} in {self.directory} {were} not written by templates-gen, or {were} changed afterwards; "
            f"nothing was written: move or rename {them}, or give another --out"
        )

    def _refuse_race(self, files: Mapping[str, bytes], records: Mapping[str, Record]) -> None:
        """Raise OutputError if another run has written files of this job since it began, unless they are the same."""
        new = [
            name
            for name, before in self._seen.items()
            if (now := _signature(self.directory / name)) is not None and now != before
        ]
        same = all(name in records and records[name].sha256 == digest(data) for name, data in files.items())
        if new and not same:
            raise OutputError(
                f"{new[0]} in {self.directory} has been written by another run since this one began; the other's "
                "files were kept and nothing was written: run the command again if you want this set"
            )


def counted(count: int, noun: str) -> str:
    """Return a number with its noun: "1 file", "12 files"."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def _check_names(names: Iterable[str]) -> None:
    """Raise OutputError for a name that is not safe everywhere, or that is there twice in other capitals."""
    known: set[str] = {MANIFEST}
    for name in names:
        fault = name_fault(name)
        if fault:
            raise OutputError(f"cannot write a file named {name[:80]!r}: {fault}")
        if name.lower() in known:
            raise OutputError(f"cannot write {name} twice in one set of files")
        known.add(name.lower())


def _signature(path: Path) -> Signature | None:
    """Return what changes whenever a file is written again: its number on the disk, its time and its size."""
    try:
        status = os.lstat(path)
    except (OSError, ValueError):
        return None
    return status.st_ino, status.st_mtime_ns, status.st_size
