"""Static files under names that carry their digest, in the imports of scripts too."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticFiles(CompressedManifestStaticFilesStorage):
    support_js_module_import_aggregation = True
