"""A set of files put in place of the former one, so that a run that is killed half-way can be undone by the next.

In the folder, a hidden folder holds everything that is there only for the moment: the lock, the new files, a second
name for each former file, and the journal. The journal is on the disk before the first file of the set is touched,
and is removed after the last one. So a journal that is found means: not all files are of one set; take them back.
"""

import json
import os
import shutil
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from templates_gen.errors import OutputError
from templates_gen.output.files import UNFINISHED, digest_at, explained, reason, sync_folder, write_new

STAGING = f".{UNFINISHED}"
"""The hidden folder."""

LOCK, JOURNAL, NEW, FORMER = "lock", "journal.json", "new", "former"


@dataclass(frozen=True)
class Change:
    """What happens to one file.

    Attributes
    ----------
    name : str
    new, former : str
        Digests of what is written and of what was there; "" for no file.
    """

    name: str
    new: str
    former: str


def stage(directory: Path, name: str, data: bytes) -> None:
    """Write one new file of the set where it waits."""
    folder = directory / STAGING / NEW
    with suppress(FileExistsError):
        folder.mkdir()
    write_new(folder / name, data)


def put_in_place(directory: Path, changes: Sequence[Change]) -> None:
    """Make all changes or none: those whose new file is staged replace, the others remove.

    Raises
    ------
    OutputError
        When a change cannot be made. Those made before it have been taken back.
    """
    staging = directory / STAGING
    (staging / FORMER).mkdir()
    _write_journal(staging, changes)
    try:
        for change in changes:
            with explained(f"cannot replace {change.name} in {directory}"):
                _keep_former(directory, change)
        sync_folder(staging / FORMER)
        for change in changes:
            with explained(f"cannot replace {change.name} in {directory}"):
                _make_change(directory, change)
        sync_folder(directory)
        (staging / JOURNAL).unlink()
    except BaseException:
        undo(directory)
        raise
    sync_folder(staging)


def is_interrupted(directory: Path) -> bool:
    """Return whether a run was stopped while it put files in place of others in this folder."""
    return os.path.lexists(directory / STAGING / JOURNAL)


def undo(directory: Path) -> None:
    """Take back the changes of a run that did not make all of them; a second time it does nothing.

    Raises
    ------
    OutputError
        When a file was changed by somebody else since, or cannot be restored. The next run then tries again.
    """
    staging = directory / STAGING
    with explained(f"cannot read the journal of a run that was stopped in {directory}"):
        changes = _read_journal(staging / JOURNAL)
        changed = [change.name for change in changes if digest_at(directory / change.name) not in _known(change)]
    if changed:
        raise OutputError(
            f"a run was stopped while it wrote to {directory}, and {changed[0]} has been changed there since; move "
            "it to another folder, then run the command again: the former files are restored then"
        )
    for change in changes:
        try:
            _take_back(directory, change)
        except OSError as fault:
            raise OutputError(
                f"{change.name} in {directory} could not be restored ({reason(fault)}); the next run that writes "
                "there tries again"
            ) from fault
    sync_folder(directory)
    with explained(f"cannot remove the journal in {staging}"):
        (staging / JOURNAL).unlink(missing_ok=True)


def clear(directory: Path) -> None:
    """Remove what is temporary but the lock; nothing while there is a journal."""
    staging = directory / STAGING
    if not is_interrupted(directory):
        for name in (NEW, FORMER):
            shutil.rmtree(staging / name, ignore_errors=True)
        with suppress(OSError):
            (staging / f"{JOURNAL}.new").unlink(missing_ok=True)


def remove_staging(directory: Path) -> None:
    """Remove the hidden folder if it is empty."""
    with suppress(OSError):
        (directory / STAGING).rmdir()


def _write_journal(staging: Path, changes: Sequence[Change]) -> None:
    """Write the journal down to the disk, whole or not at all."""
    listed = {"format": 1, "changes": [asdict(change) for change in changes]}
    waiting = staging / f"{JOURNAL}.new"
    waiting.unlink(missing_ok=True)
    write_new(waiting, json.dumps(listed).encode())
    os.replace(waiting, staging / JOURNAL)
    sync_folder(staging)


def _read_journal(path: Path) -> list[Change]:
    """Return the changes of a journal. Raises OSError or ValueError if it cannot be read."""
    try:
        return [Change(**change) for change in json.loads(path.read_bytes())["changes"]]
    except (TypeError, KeyError) as fault:
        raise ValueError(f"{path} is damaged") from fault


def _known(change: Change) -> set[str]:
    """Return the digests that a file may have after any part of its change; "" for no file."""
    return {change.new, change.former, ""}


def _keep_former(directory: Path, change: Change) -> None:
    """Give the former file a second name, so that the first is never missing, where the file system has links."""
    with suppress(OSError, NotImplementedError):
        if change.former:
            os.link(directory / change.name, directory / STAGING / FORMER / change.name, follow_symlinks=False)


def _make_change(directory: Path, change: Change) -> None:
    """Put the new file in place of the former one, or remove the former one."""
    target, former = directory / change.name, directory / STAGING / FORMER / change.name
    if change.former and not os.path.lexists(former):
        os.replace(target, former)
    if change.new:
        os.replace(directory / STAGING / NEW / change.name, target)
    else:
        target.unlink(missing_ok=True)


def _take_back(directory: Path, change: Change) -> None:
    """Undo one change, as far as it was made."""
    target, former = directory / change.name, directory / STAGING / FORMER / change.name
    if os.path.lexists(former):
        os.replace(former, target)
    elif not change.former:
        target.unlink(missing_ok=True)
