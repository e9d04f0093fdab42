"""How this copy of the program is set up; every value can come from the environment."""

import os
import secrets
from datetime import timedelta
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
    "axes",
    "csp",
    "django_filters",
    "django_htmx",
    "rest_framework",
    "drf_spectacular",
    "fleet.apps.FleetConfig",
    "maintenance.apps.MaintenanceConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "fleet.pages.squeezing.Squeezing",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "fleet.pages.addresses.no_nul",
    "axes.middleware.AxesMiddleware",
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
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
# Ten wrong passwords for one name from one address, and that address waits: a guesser is slowed,
# and nobody can lock somebody else out of a base on a Saturday.
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = timedelta(minutes=10)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_USERNAME_FORM_FIELD = "username"  # as the form calls it; without it nobody would ever be kept out
AXES_CLIENT_IP_CALLABLE = "fleet.pages.sign_in.address_of"
AXES_LOCKOUT_TEMPLATE = "fleet/locked_out.html"
AXES_DISABLE_ACCESS_LOG = True
AXES_VERBOSE = False
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

LANGUAGE_CODE = "en-gb"
# What the skipper's pages speak (maintenance/pages/phone/language.py); the base's own stay English.
LANGUAGES = [
    ("en-gb", "English"),
    ("de", "Deutsch"),
    ("fr", "Français"),
    ("it", "Italiano"),
    ("es", "Español"),
    ("el", "Ελληνικά"),
    ("hr", "Hrvatski"),
    ("pl", "Polski"),
]
LOCALE_PATHS = [HOME / "maintenance" / "locale"]
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "static/"
# Serves the style sheet straight from the source: no collecting step to forget.
WHITENOISE_USE_FINDERS = True
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "fleet.pages.by_content.ByContent"},
}

# Photos and certificates, by their content; never under a folder that is served as it is.
PAPERS = Path(env.str("FETTLE_PAPERS", default="") or HOME / ".papers")
FILE_UPLOAD_HANDLERS = [
    "fleet.papers.intake.CutShort",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]
FILE_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
# Far above what a form takes, so that the form can say how many it wanted: more than a few are cut
# to nothing as they come in.
DATA_UPLOAD_MAX_NUMBER_FILES = 500
# Form and JSON bodies; files are counted apart, by the papers' own limit.
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

HTTPS = env.bool("FETTLE_HTTPS", default=False)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
# The address the proxy in front says the browser used; believed only where there is one.
BEHIND_PROXY = env.bool("FETTLE_BEHIND_PROXY", default=False)
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "fleet.api.tokens.TokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["fleet.api.answers.JSONAnswer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "fleet.api.schema.Described",
    "DEFAULT_METADATA_CLASS": None,
    "EXCEPTION_HANDLER": "fleet.api.problems.answer_problem",
    "COERCE_DECIMAL_TO_STRING": False,
    "UNAUTHENTICATED_USER": None,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Fettle",
    "DESCRIPTION": (
        "Boats, what is fitted to them, when it falls due, and what came back with each charter. Sign in "
        "with a token: Authorization: Bearer. Lists come in pages. Ledgers take rows and corrections and "
        "change none. Errors are problem documents (RFC 9457) that name each field and what is wanted."
    ),
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": False,
    "SCHEMA_PATH_PREFIX": "/api/",
    "ENUM_ADD_EXPLICIT_BLANK_NULL_CHOICE": False,
    "SORT_OPERATIONS": False,
    "POSTPROCESSING_HOOKS": [],  # choices stand with the field they are of
}
