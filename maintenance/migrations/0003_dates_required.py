from django.db import migrations


def require(apps, schema_editor):
    """A kind whose task goes by the printed date carries one: the dates' page then asks for it."""
    intervals = apps.get_model("maintenance", "ServiceInterval").objects.filter(on_expiry=True)
    kinds = apps.get_model("fleet", "Kind").objects
    kinds.filter(pk__in=intervals.exclude(kind=None).values("kind")).update(date_required=True)


class Migration(migrations.Migration):
    dependencies = [("fleet", "0002_doors"), ("maintenance", "0002_doors")]

    operations = [migrations.RunPython(require, migrations.RunPython.noop)]
