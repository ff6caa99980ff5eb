"""The maker's shop drawing of an opening, as pictures: a page each, kept and served as photos are.

It stands beside the log: what the crew is judged by is the drawing that the office typed. The
files are photos by their bytes (store/photos.py), so copies, checks and the doctor know them. No
record holds them: pages that are replaced go from the disk (drop_unnamed there).
"""

from collections.abc import Sequence

from sqlmodel import Field, Session, SQLModel, col, delete, select

from app.core.kinds import Json

MOST_PAGES = 12


class ShopPage(SQLModel, table=True):
    """One page, n from 1. made: seconds since 1970."""

    __tablename__ = "shop_page"

    opening: str = Field(primary_key=True, foreign_key="opening.id")
    n: int = Field(primary_key=True)
    sha256: str = Field(index=True)
    width: int
    height: int
    person: str = Field(foreign_key="person.id")
    made: int


def pages_of(session: Session, opening: str) -> list[ShopPage]:
    """Return the pages of an opening, in order."""
    wanted = select(ShopPage).where(ShopPage.opening == opening)
    return list(session.exec(wanted.order_by(col(ShopPage.n))))


def listed_pages(session: Session, only: Sequence[str] | None) -> dict[str, list[Json]]:
    """Return opening -> its pages, each {"sha256", "width", "height"}; only: of these openings."""
    wanted = select(ShopPage).order_by(col(ShopPage.opening), col(ShopPage.n))
    if only is not None:
        wanted = wanted.where(col(ShopPage.opening).in_(only))
    out: dict[str, list[Json]] = {}
    for one in session.exec(wanted):
        page = {"sha256": one.sha256, "width": one.width, "height": one.height}
        out.setdefault(one.opening, []).append(page)
    return out


def openings_with_page(session: Session, sha256: str) -> set[str]:
    """Return the openings whose shop drawing has a page."""
    return set(session.exec(select(ShopPage.opening).where(ShopPage.sha256 == sha256)))


def keep_pages(session: Session, opening: str, pages: Sequence[ShopPage]) -> None:
    """Put these pages in the place of what the opening had; none takes the drawing away."""
    session.connection().execute(delete(ShopPage).where(col(ShopPage.opening) == opening))
    session.add_all(pages)
    session.flush()
