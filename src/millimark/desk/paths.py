"""What the desk's paths share: a record's number, and where a print run lies."""

from __future__ import annotations

from starlette.convertors import Convertor, register_url_convertor

RUN = "/printings/{run:id}"


class _Id(Convertor[int]):
    """A record's number in a path: what every database holds, and no longer."""

    regex = "[0-9]{1,9}"

    def convert(self, value: str) -> int:
        return int(value)

    def to_string(self, value: int) -> str:
        return str(value)


register_url_convertor("id", _Id())
