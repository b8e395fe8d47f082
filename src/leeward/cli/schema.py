"""`leeward schema`: the JSON Schema of a document."""

import json

import click

from leeward.cli.exit_codes import ExitCode
from leeward.cli.options import output_option
from leeward.report.schemas import DOCUMENTS
from leeward.report.schemas import schema as schema_of
from leeward.report.write import write


@click.command()
@click.argument("name", metavar="DOCUMENT", type=click.Choice(list(DOCUMENTS)))
@output_option
def schema(name: str, output: str | None) -> int:
    """\b
    leeward schema review
    leeward schema parts -o parts.schema.json

    Print the JSON Schema of what a command answers with --format json. DOCUMENT is parts, review, survey,
    calibration or calibration-plan.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    write(json.dumps(schema_of(name), indent=1) + "\n", output)
    return ExitCode.DONE
