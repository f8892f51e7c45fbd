"""The site's settings as the type checker reads them: with a data folder that is gone afterwards."""

import os
import tempfile

os.environ.pop("DATABASE_URL", None)
with tempfile.TemporaryDirectory(prefix="onceapart-types-") as _folder:
    os.environ["ONCEAPART_DATA"] = _folder
    from onceapart.site.settings import *  # noqa: F403
