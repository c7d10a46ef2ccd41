"""`slowfolio simulate`: one method, computed for a given piece, pit and altitude."""

from pathlib import Path

import click
import msgspec

from slowfolio.cli.book_argument import method_or_usage_error, read_book_or_exit
from slowfolio.cli.quantity import ALTITUDE, LENGTH, MASS, TEMPERATURE
from slowfolio.cli.waiting import progress_bar
from slowfolio.enrich.pipeline import MEMBERS, SEED
from slowfolio.enrich.record import simulate_record
from slowfolio.enrich.remarks import remark_text
from slowfolio.enrich.results import MethodResult, StageResult
from slowfolio.provenance import Figure
from slowfolio.units import System, format_quantity


@click.command("simulate")
@click.argument("method_id", metavar="METHOD")
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option("--weight", "weight_kg", type=MASS, help='Raw weight after trimming: "13 lb 8 oz".')
@click.option("--thickness", "thickness_m", type=LENGTH, help='Thickest part: "3 1/2 in".')
@click.option("--pit", "pit_id", help="Id of another pit card.")
@click.option("--altitude", "altitude_m", type=ALTITUDE, help='"5280 ft".')
@click.option("--start-temp", "start_temp_c", type=TEMPERATURE, help="The piece as it goes on.")
@click.option("--members", type=click.IntRange(1, 4096), default=MEMBERS, show_default=True)
@click.option("--seed", type=click.IntRange(0), default=SEED, show_default=True)
@click.option(
    "--dask", "cluster", metavar="ADDRESS", help="Compute on this Dask cluster: tcp://host:8786 (extra dask)."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON; see schema/output/simulate.schema.json.")
def command(
    method_id: str,
    book_path: Path,
    weight_kg: float | None,
    thickness_m: float | None,
    pit_id: str | None,
    altitude_m: float | None,
    start_temp_c: float | None,
    members: int,
    seed: int,
    cluster: str | None,
    as_json: bool,
) -> None:
    """Cook METHOD in the computer: stages with times and spread, yield, outcomes, what moves the finish.

    \b
    Example: the same method on a smaller piece in the mountains
      slowfolio simulate foil-boat-humid-hold --weight "11 lb" --altitude "6000 ft"
    """
    book = read_book_or_exit(book_path)
    method = method_or_usage_error(book, method_id)
    if pit_id is not None and pit_id not in book.pits:
        raise click.UsageError(f"no pit {pit_id!r} in this book; it has {', '.join(sorted(book.pits))}")

    from slowfolio.enrich.cluster import NoCluster, cluster_executor
    from slowfolio.enrich.summary import summarise
    from slowfolio.forecast.inputs import Conditions
    from slowfolio.forecast.run import run_method
    from slowfolio.physics.errors import PhysicsInputError

    conditions = Conditions(weight_kg, thickness_m, start_temp_c, pit_id, altitude_m)
    try:
        if cluster is not None:
            with cluster_executor(cluster) as executor:
                job = executor.submit(
                    run_method, method, book, members=members, seed=seed, conditions=conditions
                )
                cook = job.result()
        else:
            with progress_bar() as tell:
                cook = run_method(
                    method, book, members=members, seed=seed, conditions=conditions, progress=tell
                )
    except NoCluster as error:
        raise click.ClickException(str(error)) from error
    except PhysicsInputError as error:
        raise click.UsageError(f"{method_id}: {error}") from error
    result = summarise(method, book, cook, seed=seed)
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(simulate_record(result, cook.joint))).decode())
    else:
        click.echo(as_text(method.title, result, book.card.units_first))


def as_text(title: str, result: MethodResult, system: System) -> str:
    """The result for a terminal: a table of stages, then yield, scores, ranking and remarks."""
    lines = [title, f"{result.members} simulated cooks, P10 – median – P90", ""]
    lines += [stage_line(stage, system) for stage in result.stages]
    lines += ["", row("pull", result.pull, system), row("ready to serve from", result.ready, system)]
    lines += [row("yield", result.yield_fraction, system)]
    lines += [
        row(f"  {name}", getattr(result, name), system) for name in ("evaporated", "dripped", "rendered")
    ]
    lines += ["", *(row(name, figure, system) for name, figure in result.scores.items())]
    if result.ranking:
        lines += ["", "what moves the finish most (change from its low to its high end)"]
        lines += [
            f"  {item.name:<38} {item.effect_h:+5.1f} h   {item.share:4.0%}" for item in result.ranking[:6]
        ]
    if result.remarks:
        lines += ["", *(f"note: {remark_text(remark, system)}" for remark in result.remarks)]
    return "\n".join(lines)


def stage_line(stage: StageResult, system: System) -> str:
    """One stage: when it ends and what the core reads then."""
    ends = f"ends {shown(stage.end, system)}"
    return f"{stage.name:<18} {ends:<44} core {shown(stage.core_end, system)}  ({stage.ended_by})"


def row(name: str, figure: Figure, system: System) -> str:
    """A named figure with its spread."""
    return f"{name:<22} {shown(figure, system)}"


def shown(figure: Figure, system: System) -> str:
    """Low – median – high in the reader's units."""
    values = (figure.low, figure.value, figure.high)
    return " – ".join(one(value, figure.dimension, system) for value in values if value is not None)


def one(value: float, dimension: str, system: System) -> str:
    """A single value as text."""
    return f"{value:.0f}" if dimension == "score" else format_quantity(value, dimension, system)
