from django.apps import AppConfig


class StoreConfig(AppConfig):
    name = "onceapart.site.store"
    label = "store"
