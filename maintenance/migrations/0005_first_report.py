from django.db import migrations


def name_the_first(apps, schema_editor):
    """A report that was corrected names the one it first came in as; what was decided about it and
    its photos stay with that one."""
    defects = apps.get_model("maintenance", "Defect").objects
    older = dict(defects.exclude(replaces=None).values_list("pk", "replaces_id"))
    for pk in older:
        first = pk
        while first in older:
            first = older[first]
        defects.filter(pk=pk).update(first=first)
        apps.get_model("maintenance", "DefectStep").objects.filter(defect=pk).update(defect=first)
        papers = apps.get_model("maintenance", "DefectPaper").objects
        there = papers.filter(defect=first).values("paper")
        papers.filter(defect=pk).exclude(paper__in=list(there.values_list("paper", flat=True))).update(
            defect=first
        )


class Migration(migrations.Migration):
    dependencies = [("maintenance", "0004_defect_to_handover")]

    operations = [migrations.RunPython(name_the_first, migrations.RunPython.noop)]
