"""Static files with a fingerprint in their name, JavaScript modules' imports included."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class ModuleManifestStorage(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
