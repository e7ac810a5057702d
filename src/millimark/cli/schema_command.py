"""``millimark schema``: the published JSON Schemas."""

from __future__ import annotations

import click


@click.command("schema")
@click.argument("name", required=False)
def command(name: str | None) -> None:
    """Print the JSON Schema (draft 2020-12) called NAME; without NAME, list them."""
    from millimark import schemas

    if name is None:
        click.echo("\n".join(schemas.names()))
        return
    import json

    click.echo(json.dumps(schemas.schema(name), indent=2, ensure_ascii=False))
