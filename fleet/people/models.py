"""Who works at a base, and as what."""

from datetime import date
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.validators import RegexValidator
from django.db import models

from fleet.people.roles import ROLES


class PersonManager(BaseUserManager["Person"]):
    """Makes people who can sign in."""

    def create_user(self, login: str, name: str, password: str | None = None, **more: Any) -> "Person":
        person = self.model(login=login, name=name, **more)
        person.set_password(password)
        person.full_clean()
        person.save()
        return person


class Person(AbstractBaseUser):
    """Somebody who signs in; an erased person keeps the row and loses the name."""

    login = models.CharField(
        max_length=60,
        unique=True,
        validators=[RegexValidator(r"^[\w.@+-]+$", "login: letters, digits, . _ @ + -")],
    )
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    erased_at = models.DateTimeField(null=True, blank=True)

    objects = PersonManager()
    USERNAME_FIELD = "login"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    def __str__(self) -> str:
        return self.name


class MembershipQuerySet(models.QuerySet["Membership"]):
    def on(self, day: date) -> "MembershipQuerySet":
        """Memberships in force on a day, its first and last days counted."""
        return self.filter(from_on__lte=day).filter(
            models.Q(until_on__isnull=True) | models.Q(until_on__gte=day)
        )


class Membership(models.Model):
    """A person's role at a base for a while; one person may hold several."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="memberships")
    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=12, choices=[(r, r) for r in ROLES])
    from_on = models.DateField()
    until_on = models.DateField(null=True, blank=True)

    objects = MembershipQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["person", "base", "role", "from_on"], name="membership_once")
        ]

    def has_ended(self, day: date) -> bool:
        """Whether its last day was before this one."""
        return self.until_on is not None and self.until_on < day


class TokenQuerySet(models.QuerySet["Token"]):
    def in_force(self) -> "TokenQuerySet":
        """Those not revoked, of people who may still sign in."""
        return self.filter(revoked_at__isnull=True, person__is_active=True)


class Token(models.Model):
    """A program's way in on behalf of a person: what it is for, and the digest of its secret."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=60, help_text="what it is for")
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = TokenQuerySet.as_manager()


class CleanersLink(models.Model):
    """A way in for who cleans the boats: it takes reports of a base's boats and shows nothing else."""

    base = models.ForeignKey("fleet.Base", models.CASCADE, related_name="cleaners_links")
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-made_at", "-pk"]
