"""The words the phone's script says, for a page to carry along."""

from django import template

from maintenance.pages.phone.said import said

register = template.Library()
register.simple_tag(said, name="phone_words")
