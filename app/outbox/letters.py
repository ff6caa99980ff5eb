"""What is sent by e-mail: notices to people of the office, and the record to its owner."""

import json

from app.access.pages import speaker_for
from app.core.kinds import Json
from app.core.quantity.messages import Msg, Plural
from app.homeowner import links
from app.outbox.delivery import Delivery, refused
from app.outbox.mail import mail_of, send_mail
from app.outbox.wording import words_of
from app.settings import Settings
from app.store import notices, outbox
from app.store.company import company_of
from app.store.database import Database
from app.store.notices import NoticeChoice
from app.store.outbox import Outgoing
from app.store.people import is_office
from app.store.tables import Job, Opening, Person
from app.templating.templates import render_page


def send_letter(
    database: Database, settings: Settings, rows: list[Outgoing], now: float
) -> Delivery:
    """Send what goes in one mail and return what became of it."""
    if not settings.smtp or not settings.mail_from:
        return refused("no-server")
    if rows[0].channel == outbox.OWNER:
        return _send_record(database, settings, rows[0], now)
    with database.read() as session:
        choice = session.get(NoticeChoice, rows[0].receiver)
        person = session.get(Person, rows[0].receiver)
    if choice is None or person is None or not is_office(person) or person.disabled:
        return refused("no-reader")
    if not choice.mail or (choice.how == notices.NEVER and rows[0].kind != notices.TEST):
        return refused("no-reader")
    subject, text, page = notices_letter(person, rows, settings.address)
    mail = mail_of(settings.mail_from, choice.mail, subject, text, page, rows[0].batch, now)
    return send_mail(settings.smtp, mail)


def notices_letter(person: Person, rows: list[Outgoing], base: str) -> tuple[str, str, str]:
    """Return subject, text and HTML of a mail with these notices, in the person's language."""
    say = speaker_for(person).say
    lines: list[Json] = []
    for row in rows:
        words = words_of(row.kind, json.loads(row.text))
        more = words.more if isinstance(words.more, str) else say(words.more)
        href = base + words.path if base and words.path else ""
        line = {"title": say(words.title), "more": more, "href": href}
        lines.append({**line, "button": say(Msg("See it"))})
    many = Plural("{count} notice", "{count} notices").of(len(lines))
    subject = lines[0]["title"] if len(lines) == 1 else say(many)
    foot = say(Msg("You asked for this under Notices, in the office's pages."))
    return _letter(person, subject, "", lines, foot)


def _letter(
    person: Person, subject: str, lead: str, lines: list[Json], foot: str
) -> tuple[str, str, str]:
    parts = ["\n".join(filter(None, (one["title"], one["more"], one["href"]))) for one in lines]
    text = "\n\n".join(filter(None, (lead, *parts, "-- \n" + foot))) + "\n"
    context = {"lang": person.lang, "subject": subject, "lead": lead, "lines": lines, "foot": foot}
    page = render_page("mail/notices.html", context, speaker_for(person))
    return subject, text, page


def _send_record(database: Database, settings: Settings, row: Outgoing, now: float) -> Delivery:
    """Send the owner the number of a record and a private link to it, made for this mail.

    The link stands in no table: a mail that was not taken leaves a link that is withdrawn.
    """
    if not settings.address:
        return refused("no-address")
    body = json.loads(row.text)
    token = links.fresh_token()
    with database.write() as session:
        opening = session.get_one(Opening, row.receiver)
        job = session.get_one(Job, opening.job)
        person = session.get_one(Person, body["person"])
        if not job.mail:
            return refused("no-owner")
        made = links.make(session, opening.id, person.id, token, links.USUAL, int(now))
        company = company_of(session).name
    letter = record_letter(person, opening, company, body, f"{settings.address}/mine/{token}")
    mail = mail_of(settings.mail_from, job.mail, *letter, row.batch, now)
    delivery = send_mail(settings.smtp, mail)
    if not delivery.taken:
        with database.write() as session:
            links.withdraw(session, opening.id, links.name_of(made), int(now))
    return delivery


def record_letter(
    person: Person, opening: Opening, company: str, body: Json, link: str
) -> tuple[str, str, str]:
    """Return subject, text and HTML of the mail that takes a record to its owner."""
    say = speaker_for(person).say
    place = f"{opening.letter} {opening.room}"
    subject = say(Msg("The record of your door: {place}", place=place))
    lead = say(Msg("{company} has completed your door. Its record is ready.", company=company)
               if company else Msg("Your door is completed. Its record is ready."))  # fmt: skip
    number = say(Msg("Record {number}", number=body["number"]))
    button = say(Msg("Open the record"))
    line = {"title": number, "more": place, "href": link, "button": button}
    foot = say(Msg("Keep this link to yourself: whoever has it can read the record."))
    return _letter(person, subject, lead, [line], foot)
