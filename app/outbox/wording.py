"""What is told, in words: a title, a line more, and where to look."""

from dataclasses import dataclass
from datetime import datetime

from app.core.kinds import Json
from app.core.quantity.messages import Msg, When
from app.store import notices

KIND_WORDS = {
    notices.QUERY: Msg("A crew asks a question"),
    notices.OUT: Msg("Something is out at a hold point"),
    notices.REVIEW: Msg("An opening is ready for review"),
    notices.ACCEPTED: Msg("An opening was accepted"),
    notices.CALLBACK: Msg("An owner complains"),
    notices.SILENT: Msg("Nothing was heard of a phone for three days"),
}


@dataclass(frozen=True)
class NoticeWords:
    """A notice in words. path: the page where one sees more, "" for none."""

    title: Msg
    more: Msg | str
    path: str


_TITLES = {
    notices.QUERY: (Msg("Question: {opening}"), "#queries-title"),
    notices.OUT: (Msg("Out at a hold point: {opening}"), "#look-title"),
    notices.REVIEW: (Msg("Ready for review: {opening}"), ""),
    notices.ACCEPTED: (Msg("Accepted: {opening}"), ""),
}


_CREW = {
    notices.ANSWERED: (Msg("Your question is answered: {opening}"), "/queries"),
    notices.RETURNED: (Msg("The office sends an opening back: {opening}"), ""),
}


def words_of(kind: str, body: Json) -> NoticeWords:
    """Return a notice in words."""
    opening = f"{body.get('job_title', '')} {body.get('letter', '')}".strip()
    more: Msg | str = body.get("words", "")
    if kind in _TITLES:
        title, at = _TITLES[kind]
        if kind == notices.OUT:
            more = Msg("step {step}, {check}", step=body["step"], check=body["check"])
        page = f"/office/o/{body['opening']}{at}"
        return NoticeWords(Msg(title.template, opening=opening), more, page)
    if kind in _CREW:
        page = f"/field/o/{body['opening']}{_CREW[kind][1]}"
        return NoticeWords(Msg(_CREW[kind][0].template, opening=opening), "", page)
    if kind == notices.CALLBACK:
        title = Msg("An owner complains: {opening}", opening=opening)
        return NoticeWords(title, more, "/office/visits")
    if kind == notices.SILENT:
        title = Msg("Nothing heard of the phone {name}", name=body["phone"])
        since = datetime.fromtimestamp(body["since"] or 0).astimezone()
        more = Msg("since {when}", when=When(since.isoformat(timespec="minutes")))
        return NoticeWords(title, more, "/phones")
    return NoticeWords(Msg("This is a test: messages arrive."), "", "/office/notices")
