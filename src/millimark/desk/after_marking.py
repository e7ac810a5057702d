"""The paths of what follows marking: review, second marking, feeding back, classes, records."""

from __future__ import annotations

from starlette.routing import Route

from millimark.desk import (
    answers,
    class_grid,
    class_pages,
    feeding_back,
    keeping,
    reviewing,
    scanned_twice,
    second_marking,
)
from millimark.desk.paths import RUN
from millimark.desk.rendering import posted

BACKUP_BYTES = 4_000_000_000
LARGE = {"lists": 20_000_000, "backups": BACKUP_BYTES}
"""Last parts of these paths that take files, with the most bytes that one request may have."""


def routes() -> list[Route]:
    """These paths, in the order of the work."""
    run = RUN
    second = f"{run}/second/{{round:id}}"
    return [
        Route(f"{run}/review", reviewing.review),
        Route(f"{run}/review", posted(reviewing.decide), methods=["POST"]),
        Route("/pages/{page:id}/picture", answers.picture),
        Route(f"{run}/twice", scanned_twice.pairs),
        Route("/pages/{page:id}/count", posted(scanned_twice.count), methods=["POST"]),
        Route(f"{run}/second", second_marking.overview),
        Route(f"{run}/second", posted(second_marking.begin), methods=["POST"]),
        Route(f"{second}/mark", second_marking.mark),
        Route(f"{second}/mark", posted(second_marking.decide), methods=["POST"]),
        Route(f"{second}/compare", second_marking.compare),
        Route(f"{second}/settle", posted(second_marking.settle), methods=["POST"]),
        Route(f"{run}/grid", class_grid.grid),
        Route(f"{run}/feedback", feeding_back.feedback),
        Route(f"{run}/exports/{{name}}", feeding_back.export),
        Route("/scripts/{script:id}/feedback", feeding_back.pupils_sheet),
        Route(f"{run}/reteach", feeding_back.plan),
        Route(f"{run}/reteach", posted(feeding_back.make), methods=["POST"]),
        Route("/classes", class_pages.all_classes),
        Route("/classes/lists", class_pages.take_list, methods=["POST"]),
        Route("/classes/{owner:id}", class_pages.one_class),
        Route("/classes/{owner:id}/lists", class_pages.add_list, methods=["POST"]),
        Route("/classes/{owner:id}/name", posted(class_pages.rename_class), methods=["POST"]),
        Route("/classes/{owner:id}/delete", posted(class_pages.delete_class), methods=["POST"]),
        Route("/pupils/{pupil:id}", class_pages.pupil),
        Route("/pupils/{pupil:id}/name", posted(class_pages.rename_pupil), methods=["POST"]),
        Route("/pupils/{pupil:id}/everything", class_pages.take_away),
        Route("/pupils/{pupil:id}/delete", class_pages.ask_to_delete),
        Route("/pupils/{pupil:id}/delete", posted(class_pages.delete_pupil), methods=["POST"]),
        Route("/records", keeping.records),
        Route("/records/retention", posted(keeping.keep_for), methods=["POST"]),
        Route("/records/backup", posted(keeping.back_up), methods=["POST"]),
        Route("/records/everything", posted(keeping.hand_over), methods=["POST"]),
        Route("/records/backups", keeping.take_backup, methods=["POST"]),
    ]
