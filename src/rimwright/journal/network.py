"""Folders on the network, where a database file is not to be."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from rimwright.errors import JournalError

#: Kinds of file systems whose locks and syncs cannot be believed across computers.
#: "How To Corrupt An SQLite Database File" (sqlite.org) names the ways.
_NETWORK = frozenset(
    {
        *("nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "ncpfs", "coda", "9p", "davfs"),
        *("ceph", "lustre", "glusterfs", "beegfs", "gpfs", "ocfs2", "gfs2"),
        *("fuse.sshfs", "fuse.davfs", "fuse.davfs2", "fuse.glusterfs", "fuse.ceph"),
        *("fuse.rclone", "fuse.s3fs", "fuse.goofys", "fuse.gcsfuse", "fuse.smbnetfs"),
    }
)

_MOUNTS = Path("/proc/self/mounts")


def network_kind(folder: Path, mounts: str) -> str:
    """Kind of network file system that a folder is on; "" where it is on this computer.

    Parameters
    ----------
    folder : Path
        Absolute, links resolved.
    mounts : str
        As Linux lists them in `/proc/self/mounts`.

    Examples
    --------
    >>> table = "/dev/sda1 / ext4 rw 0 0\\nnas:/shop /home/shop nfs4 rw 0 0"
    >>> network_kind(Path("/home/shop/journal"), table), network_kind(Path("/home"), table)
    ('nfs4', '')
    """
    best, kind = -1, ""
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        # The table writes a space in a name as \040.
        point = Path(fields[1].encode("latin-1", "replace").decode("unicode_escape"))
        depth = len(point.parts)
        # A later line lies over an earlier one.
        if depth >= best and folder.is_relative_to(point):
            best, kind = depth, fields[2]
    return kind if kind in _NETWORK else ""


def network_here(folder: Path) -> str:
    """Kind of network file system that a folder of this computer is on; "" if none is known."""
    mounts = ""
    with contextlib.suppress(OSError):
        mounts = _MOUNTS.read_text("utf-8", "surrogateescape")
    return network_kind(Path(os.path.realpath(folder)), mounts)


def refuse_network(path: Path) -> None:
    """Refuse a journal file on a network folder.

    Raises
    ------
    JournalError
        Where the system says that the folder is on the network.
    """
    kind = network_here(path.parent)
    if kind:
        raise JournalError(
            f"a network folder ({kind}), where a journal file can be ruined",
            "a folder on this computer's own disk, or a postgresql:// address for several benches",
            "choose another place with RIMWRIGHT_JOURNAL",
            where=str(path),
        )
