"""Settings. Everything that differs between machines is read from the environment, here only.

Without any of it the program runs on SQLite with no servers, its data in one folder.
"""

from __future__ import annotations

import secrets
import sys
from pathlib import Path

import environ
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()


def envword(name: str, default: str, words: tuple[str, ...]) -> str:
    """A setting that takes one of a few words. Any other word stops the start."""
    word = env.str(name, default)
    if word not in words:
        raise ImproperlyConfigured(f"{name} is “{word}”; it must be one of: {', '.join(words)}.")
    return word


def envyes(name: str, *, default: bool = False) -> bool:
    return envword(name, "yes" if default else "no", ("yes", "no")) == "yes"


TESTING = "pytest" in sys.modules
DATA_DIR = Path(env.str("BUILDLOG_DATA", str(BASE_DIR / "data"))).expanduser().resolve()
DEBUG = envyes("BUILDLOG_DEBUG")


def own_secret_key() -> str:
    """The key kept in the data folder; made on the first start, readable by its owner only."""
    path = DATA_DIR / "secret_key"
    if path.exists():
        return path.read_text().strip()
    if TESTING:
        return "only-for-tests-" + "0123456789abcdef" * 4
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    key = secrets.token_urlsafe(64)
    try:
        path.touch(mode=0o600, exist_ok=False)
    except FileExistsError:  # another process of the same start was quicker
        return path.read_text().strip()
    path.write_text(key)
    return key


SECRET_KEY = env.str("BUILDLOG_SECRET_KEY", "") or own_secret_key()
ALLOWED_HOSTS = env.list("BUILDLOG_HOSTS", default=["127.0.0.1", "localhost"])
HTTPS = envyes("BUILDLOG_HTTPS")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "csp",
    "axes",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "tasks",
    "buildlog.background",
    "buildlog.files",
    "buildlog.door",
    "buildlog.materials",
    "buildlog.money",
    "buildlog.journal",
    "buildlog.supporters",
    "buildlog.lists",
    "buildlog.keep",
    "buildlog.desk",
    "buildlog.demo",
    "buildlog",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "buildlog.urls"
WSGI_APPLICATION = "buildlog.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [],
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

# The database: one file in the data folder, or what DATABASE_URL names.
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

DATABASES = {"default": env.db("DATABASE_URL", f"sqlite:///{DATA_DIR / 'buildlog.sqlite3'}")}
DATABASES["default"]["CONN_MAX_AGE"] = 600
DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Several writers wait for each other instead of failing, and a power cut loses nothing.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }

CACHES = {"default": env.cache("CACHE_URL", "locmemcache://buildlog")}

AUTH_USER_MODEL = "tasks.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "front"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = False
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = DATA_DIR / "files"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if TESTING or DEBUG
        else "buildlog.static_files.ModuleManifestStorage"
    },
}

# No inline script or style anywhere: what a page needs is a file of this site.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 60 * 60 * 24 * 90
CSRF_TRUSTED_ORIGINS = env.list("BUILDLOG_ORIGINS", default=[])
if HTTPS:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True

# Photos: what is let in.
PHOTO_MAX_BYTES = env.int("BUILDLOG_PHOTO_MAX_MB", 40) * 1024 * 1024
PHOTO_MAX_PIXELS = 50_000_000
DATA_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_PAGINATION_CLASS": "rest_framework.pagination.PageNumberPagination",
    "PAGE_SIZE": 100,
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Buildlog",
    "VERSION": "1",
    "DESCRIPTION": "The same rows, rules and errors as the pages.",
    "SERVE_INCLUDE_SCHEMA": False,
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["stderr"], "level": env.str("BUILDLOG_LOG_LEVEL", "WARNING")},
}
