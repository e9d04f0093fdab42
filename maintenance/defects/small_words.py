"""Words of the pages' languages that say nothing of what is wrong: own choice, no source."""

from typing import Final

_OF: Final[dict[str, frozenset[str]]] = {
    language: frozenset(words.split())
    for language, words in {
        "en": "that this with from does have been there what when again boat very only works side "
        "doesn isn since after before into over also just still some they them then than more "
        "much will would could your ours here were while about because seems working broken "
        "problem",
        "de": "seit nicht kein keine keinen aber auch oder sich eine einen einem einer eines sind "
        "wird werden wurde haben hatte beim nach noch mehr sehr ganz über unter für können "
        "müssen wenn dann dass jetzt heute gestern immer wieder schon bitte unser unsere boot "
        "geht läuft kaputt defekt während hört würde dieser diese dieses etwas durch hinter",
        "fr": "avec sans pour dans depuis plus mais nous vous elle elles leur leurs cette quand "
        "comme aussi très bien être était étaient sont fait faire encore toujours après avant "
        "sous chez tout tous toute notre votre bateau marche fonctionne hier même déjà à là "
        "où ça été c’était panne",
        "it": "della delle dello degli nella nelle nello sono stato stata questo questa quando come "
        "anche molto dopo prima ancora sempre alla alle allo dalla dalle sulla sulle senza "
        "però più perché è già così nostra nostro barca funziona oggi ieri rotto rotta",
        "es": "para pero desde cuando como también muy este esta esto está están sobre entre hasta "
        "porque donde nuestro nuestra siempre después antes más sólo qué aquí según barco "
        "funciona ayer algo todo toda tiene hace estaba cada roto rota",
        "hr": "jest nije nisu ima nema kada kako samo opet jako malo više već još bila bilo kroz "
        "preko ispod iznad nakon prije sada danas jučer kada zbog radi brod brodu brodica "
        "naša naše uvijek može što gdje pokvaren pokvarena",
        "el": "από στο στη στην στον στα στους στις και δεν μην για που πως πού πώς είναι ήταν έχει "
        "έχουν με σε το τα τη την τον του της των οι η ο μας σας ένα ένας μια μία αλλά όταν "
        "πολύ λίγο πάλι ακόμα μετά πριν όχι ναι να θα ως αν κάτι τώρα χθες σήμερα σκάφος "
        "λειτουργεί δουλεύει αυτό αυτή",
        "pl": "jest nie się są był była było bardzo tylko przy przed oraz albo kiedy jako także już "
        "też więc może można jeszcze znowu teraz dzisiaj wczoraj nasz nasza jacht jachcie "
        "działa gdzie żeby że ponieważ trochę dość który która które zepsuty zepsuta",
    }.items()
}
# Folded as the words they are compared with: a Greek word's last letter is another one then.
SMALL_WORDS: Final[frozenset[str]] = frozenset(word.casefold() for words in _OF.values() for word in words)
