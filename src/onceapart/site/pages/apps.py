from django.apps import AppConfig


class PagesConfig(AppConfig):
    name = "onceapart.site.pages"
    label = "pages"
