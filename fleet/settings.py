"""How this copy of the program is set up; every value can come from the environment."""

import os
import secrets
from pathlib import Path

import environ

HOME = Path(__file__).resolve().parent.parent
env = environ.Env()

DEBUG = env.bool("FETTLE_DEBUG", default=False)


def _key_kept_here() -> str:
    """One key for every process of this copy, made at the first start, readable by its owner only."""
    file = HOME / ".secret-key"
    try:
        with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as new:
            new.write(secrets.token_urlsafe(50))
    except FileExistsError:
        pass
    return file.read_text()


SECRET_KEY = env.str("FETTLE_SECRET_KEY", default="") or _key_kept_here()
ALLOWED_HOSTS = env.list("FETTLE_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("FETTLE_ORIGINS", default=[])

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "csp",
    "fleet.apps.FleetConfig",
    "maintenance.apps.MaintenanceConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
]

ROOT_URLCONF = "fleet.urls"
WSGI_APPLICATION = "fleet.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

DATABASES = {"default": env.db_url("FETTLE_DATABASE_URL", default=f"sqlite:///{HOME / 'fettle.sqlite3'}")}
# IMMEDIATE: a story that reads and then writes takes the write lock at once and waits for it, where
# a deferred one would fail on a stale snapshot. FULL: an acknowledged return survives a power cut.
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS

AUTH_USER_MODEL = "fleet.Person"
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "static/"
# Serves the style sheet straight from the source: no collecting step to forget.
WHITENOISE_USE_FINDERS = True

SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = env.bool("FETTLE_HTTPS", default=False)
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}
