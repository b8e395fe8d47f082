"""`leeward bench`: print the default bench file, or check one and sum it up."""

import click

from leeward.bench.read import default_text, read_bench
from leeward.cli.exit_codes import ExitCode
from leeward.cli.options import bench_option, output_option
from leeward.report.screen import screen
from leeward.report.text_bench import bench_text
from leeward.report.write import refuse_inputs, write


@click.command()
@bench_option
@output_option
def bench(bench_file: str | None, output: str | None) -> int:
    """\b
    leeward bench > bench.toml
    leeward bench --bench bench.toml

    Print the default bench file, to be changed to what you own; or check the file of --bench and sum it up.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    refuse_inputs(output, [bench_file])
    if bench_file is None:
        write(default_text(), output)
    else:
        write(screen(output).text(bench_text(read_bench(bench_file))), output)
    return ExitCode.DONE
