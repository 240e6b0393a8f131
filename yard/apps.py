from django.apps import AppConfig


class YardConfig(AppConfig):
    name = "yard"
    label = "yard"
    verbose_name = "The yard"
    default_auto_field = "django.db.models.BigAutoField"
