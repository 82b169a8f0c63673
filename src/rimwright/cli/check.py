"""`rimwright check`: is the journal sound, complete and backed up?"""

from __future__ import annotations

import typer

from rimwright.cli.live_options import JournalPlace
from rimwright.cli.options import AsJson

#: Something is wrong with the journal; as of everything that is refused.
_NOT_SOUND = 2
#: How the opening begins to tell of an older journal.
_UP_TO_DATE = "The journal was brought from schema"


def check(as_json: AsJson = False, journal: JournalPlace = None) -> None:
    """Look the whole journal over; the exit code is 2 where something is wrong."""
    from dataclasses import asdict

    from rimwright.cli.journal_link import must_be_there
    from rimwright.desk.record import dump
    from rimwright.journal.check import check as look_over
    from rimwright.journal.opening import open_journal

    must_be_there(journal)
    opened, notices = open_journal(journal)
    try:
        found = look_over(opened)
    finally:
        opened.close()
    # Opening mends what can be mended, and says so; bringing it up to date is no damage.
    mended = [notice for notice in notices if not notice.startswith(_UP_TO_DATE)]
    for notice in notices:
        typer.echo(notice, err=True)
    if as_json:
        told = {
            "sound": found.sound,
            "mended": list(mended),
            "found": [asdict(one) for one in found.found],
        }
        typer.echo(dump(told), nl=False)
    else:
        for line in found.lines:
            typer.echo(line)
        typer.echo("")
        if not found.sound:
            typer.echo("Something is wrong: see above.")
        elif mended:
            typer.echo("The journal is sound now. It was not: read what was said first.")
        else:
            typer.echo("The journal is sound.")
    if mended or not found.sound:
        raise typer.Exit(_NOT_SOUND)
