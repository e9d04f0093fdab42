"""Days, hours, minutes and quantities as the pages say them, in the language the page is in."""

from django import template

from maintenance.pages import wording
from maintenance.pages.phone import known, local

register = template.Library()
register.filter("hours", local.hours)
register.filter("day", local.day)
register.filter("ended", wording.ended)
register.filter("minutes", wording.minutes)
register.filter("quantity", local.quantity)
register.filter("aboard", known.aboard)
register.filter("in_catalog", known.in_catalog)
