"""How an order stands, in words, for a page."""

from datetime import date

from maintenance.ordering.orders import Standing
from maintenance.ordering.standing import Stands
from maintenance.pages import wording


def state(one: Standing) -> str:
    """To send; Sent, 3 days late; Part received; with the word it is known by first."""
    return wording.sentence(one.state.value)


def lateness(one: Standing) -> str:
    """3 days late; nothing where it is not."""
    return f"{one.late} day{'' if one.late == 1 else 's'} late" if one.late else ""


def days(one: Standing, today: date) -> str:
    """The days it was sent, is expected, was closed, in one line; nothing of one to be sent."""
    order = one.order
    told = []
    if order.sent_on is not None:
        told.append(f"sent {wording.day(order.sent_on, today)}")
    if order.expected_on is not None and one.state in (Stands.SENT, Stands.PART):
        told.append(f"expected {wording.day(order.expected_on, today)}")
    elif one.state in (Stands.SENT, Stands.PART):
        told.append("no day said")
    if one.state is Stands.RECEIVED and (came := [day for line in one.lines for day, _ in line.came]):
        told.append(f"all here {wording.day(max(came), today)}")
    if order.closed_on is not None:
        told.append(f"closed {wording.day(order.closed_on, today)}: {order.closed_why}")
    return "; ".join(told)


def named(one: Standing) -> str:
    """By its number where it has one, else by the day it was written."""
    number = one.order.number
    return number or f"written {wording.day(one.order.base.day_of(one.order.made_at))}"
