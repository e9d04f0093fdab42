"""Days, hours, minutes and quantities as the pages say them."""

from django import template

from maintenance.pages import wording

register = template.Library()
register.filter("hours", wording.hours)
register.filter("day", wording.day)
register.filter("ended", wording.ended)
register.filter("minutes", wording.minutes)
register.filter("quantity", wording.quantity)
