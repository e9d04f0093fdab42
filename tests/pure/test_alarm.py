"""Which words raise the alarm: every language of the pages, what is harmless, and what no pattern may do.

The sentences are ours, as a crew would write them (common practice, no source).
"""

import pytest

from maintenance.defects.alarm import GAP_WORDS, MOST_LETTERS, about, folded, raised_by
from maintenance.defects.alarm_words import (
    ABOUT,
    ALARMS,
    ALARMS_IN,
    FILLERS,
    HARMLESS,
    HARMLESS_IN,
    LANGUAGES,
    TOLD_OF,
)
from maintenance.turnaround.questions import QUESTIONS

TRUE = {
    "en": [
        ("Smoke from the panel when the windlass runs", "fire"),
        ("There was a burnt smell behind the fridge", "fire"),
        ("It smells strongly of gas in the galley", "gas"),
        ("Smell of diesel in the aft cabin", "gas"),
        ("CO alarm went off at night, headache", "fumes"),
        ("We found a lot of water in the port bilge", "water"),
        ("the bilge pump keeps running, not stopping", "water"),
        ("Yacht is taking on water!", "water"),
        ("Steering is very heavy", "steering"),
        ("My son got an electric shock from the shore power plug", "people"),
        ("The engine won’t stop with the button", "engine"),
    ],
    "de": [
        ("Es raucht aus dem Schaltkasten", "fire"),
        ("Brandgeruch hinter dem Kühlschrank", "fire"),
        ("In der Pantry riecht es stark nach Gas", "gas"),
        ("Der CO-Melder piept, alle haben Kopfschmerzen", "fumes"),
        ("Viel Wasser steht in der Bilge", "water"),
        ("Bilgepumpe läuft ständig", "water"),
        ("Das Ruder klemmt", "steering"),
        ("Stromschlag am Landstecker", "people"),
        ("Der Motor geht nicht aus", "engine"),
    ],
    "fr": [
        ("Ça sent le brûlé près du tableau", "fire"),
        ("De la fumée sort du moteur", "fire"),
        ("Forte odeur de gaz dans la cuisine", "gas"),
        ("L’alarme CO a sonné, mal à la tête", "fumes"),
        ("Il y a de l’eau dans la cale", "water"),
        ("le bateau prend l'eau", "water"),
        ("Le safran fait du bruit", "steering"),
        ("Décharge électrique à la prise de quai", "people"),
        ("Le moteur ne s’arrête pas", "engine"),
    ],
    "it": [
        ("C'è puzza di bruciato in cabina", "fire"),
        ("Esce fumo dal motore", "fire"),
        ("Odore di gas in cucina", "gas"),
        ("Gas di scarico in cabina, mal di testa", "fumes"),
        ("C'è acqua in sentina", "water"),
        ("Il timone è duro", "steering"),
        ("Ho preso la scossa dalla presa", "people"),
        ("Il motore non si spegne", "engine"),
    ],
    "es": [
        ("Huele a quemado en el cuadro", "fire"),
        ("Sale humo del motor", "fire"),
        ("Olor a gas en la cocina", "gas"),
        ("Saltó la alarma de CO", "fumes"),
        ("Hay mucha agua en la sentina", "water"),
        ("El timón está duro", "steering"),
        ("Me dio calambre el enchufe", "people"),
        ("El motor no para", "engine"),
    ],
    "el": [
        ("Μυρίζει καμένο στον πίνακα", "fire"),
        ("ΒΓΑΙΝΕΙ ΚΑΠΝΟΣ ΑΠΟ ΤΗ ΜΗΧΑΝΗ", "fire"),
        ("Μυρίζει έντονα γκάζι στην κουζίνα", "gas"),
        ("Καυσαέρια στην καμπίνα", "fumes"),
        ("Έχει πολλά νερά μέσα στη σεντίνα", "water"),
        ("Το τιμόνι είναι βαρύ", "steering"),
        ("Τον χτύπησε το ρεύμα", "people"),
        ("Η μηχανή δεν σβήνει", "engine"),
    ],
    "hr": [
        ("Osjeti se dim iz kabine", "fire"),
        ("Smrdi na paljevinu", "fire"),
        ("Curi plin u kuhinji", "gas"),
        ("Ispušni plinovi u kabini, boli glava", "fumes"),
        ("Ima vode u kaljuži", "water"),
        ("Kormilo je tvrdo", "steering"),
        ("Strujni udar na priključku", "people"),
        ("Motor se ne može ugasiti", "engine"),
    ],
    "pl": [
        ("Czuć swąd spalenizny", "fire"),
        ("Z silnika leci dym", "fire"),
        ("W kambuzie czuć gaz", "gas"),
        ("Spaliny w kabinie i ból głowy", "fumes"),
        ("Dużo wody w zęzie", "water"),
        ("Ster chodzi bardzo ciężko", "steering"),
        ("Porażenie prądem z gniazdka", "people"),
        ("Silnik nie gaśnie", "engine"),
    ],
}
NOT_TRUE = {
    "en": [
        *(
            "Gas bottle empty",
            "The gas bottle is nearly empty",
            "Both gas bottles are empty",
            "We ran out of gas",
        ),
        *(
            "No smoke, just noise",
            "There was no smell of gas",
            "Fire extinguisher date is 2019",
            "Water tank empty",
        ),
        *(
            "Fire blanket missing",
            "Bulb burnt out in the head",
            "Cabin light is dim",
            "Brand new winch sticks",
        ),
        *(
            "Head does not flush",
            "Smoke alarm battery low",
            "Winch handle lost overboard",
            "No water in the bilge",
        ),
        *(
            "Steering wheel cover torn",
            "Gasket of the hatch perished",
            "Bimini zip broken",
            "Nobody was hurt",
        ),
    ],
    "de": [
        *(
            "Gas ist leer",
            "Gasflasche leer",
            "Kein Rauch, nur laut",
            "Licht im Bad brennt nicht",
            "Bitte Gas geben",
        ),
        *(
            "Feuerlöscher abgelaufen",
            "Rauchmelder Batterie leer",
            "Wassertank leer",
            "Segel hissen geht schwer",
        ),
        *("Ruder vom Dinghi fehlt", "Kein Wasser in der Bilge", "WC spült nicht", "Niemand wurde verletzt"),
    ],
    "fr": [
        *(
            "Bouteille de gaz vide",
            "Il n'y a plus de gaz",
            "Pas de fumée",
            "Feu de mât ne marche pas",
            "Ampoule brûlée",
        ),
        *(
            "Manette des gaz dure",
            "Extincteur périmé",
            "Pas d'eau dans la cale",
            "Réservoir d'eau vide",
            "WC bouché",
        ),
    ],
    "it": [
        *(
            "Bombola del gas vuota",
            "Il gas è finito",
            "Nessun fumo",
            "Lampadina bruciata",
            "Estintore scaduto",
        ),
        *(
            "Non c'è acqua in sentina",
            "Serbatoio acqua vuoto",
            "Timone automatico non va",
            "Pali del molo rotti",
        ),
    ],
    "es": [
        *(
            "Bombona de gas vacía",
            "Se ha acabado el gas",
            "Sin humo",
            "Bombilla quemada",
            "Extintor caducado",
        ),
        *(
            "No hay agua en la sentina",
            "Falla la bomba de agua dulce",
            "Tanque de agua vacío",
            "Nadie herido",
        ),
    ],
    "el": [
        *(
            "Φιάλη γκαζιού άδεια",
            "Τελείωσε το γκάζι",
            "Χωρίς καπνό",
            "Κάηκε η λάμπα",
            "Κουβέρτα φωτιάς λείπει",
        ),
        *("Δεν έχει νερά στη σεντίνα", "Το φως δεν ανάβει", "Η τουαλέτα δεν δουλεύει"),
    ],
    "hr": [
        *("Boca plina je prazna", "Nestalo plina", "Nema dima", "Svjetlo ne gori", "Žarulja izgorjela"),
        *("Nema vode u kaljuži", "Aparat za gašenje istekao", "Spremnik vode prazan"),
    ],
    "pl": [
        *(
            "Butla z gazem jest pusta",
            "Skończył się gaz",
            "Nie ma dymu",
            "Światło nie pali się",
            "Spalona żarówka",
        ),
        *("Nie ma wody w zęzie", "Gaśnica po terminie", "Zbiornik wody pusty", "Manetka gazu luźna"),
    ],
}


def each(told):
    return [
        (language, *(one if isinstance(one, tuple) else (one,)))
        for language in told
        for one in told[language]
    ]


@pytest.mark.parametrize(("language", "words", "tells_of"), each(TRUE))
def test_what_a_crew_would_shout_about_raises_the_alarm(language, words, tells_of):
    assert about(raised_by(words)) == tells_of
    assert about(raised_by(words.upper())) == tells_of


@pytest.mark.parametrize(("language", "words"), each(NOT_TRUE))
def test_what_is_harmless_raises_none(language, words):
    assert raised_by(words) == ""
    assert raised_by(words.upper()) == ""


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_language_tells_of_every_danger_and_has_words_of_its_own(language):
    assert set(ALARMS_IN[language]) == set(TOLD_OF)
    assert {tells_of for _, tells_of in TRUE[language]} == set(TOLD_OF)
    assert len(HARMLESS_IN[language]) > 30


def test_no_harmless_phrase_raises_the_alarm_and_every_word_of_alarm_does():
    assert [phrase for phrase in HARMLESS if raised_by(phrase.replace("*", ""))] == []
    said = {phrase: phrase.replace("*", "").replace(" … ", " ") for phrase in ALARMS}
    assert [phrase for phrase, words in said.items() if not raised_by(words)] == []


def test_a_phrase_fits_its_column_and_no_small_word_says_no():
    assert max(map(len, ALARMS)) <= 60
    assert ABOUT.keys() == set(ALARMS)
    says_no = {
        "no",
        "not",
        "kein",
        "nicht",
        "pas",
        "non",
        "nessun",
        "sin",
        "δεν",
        "χωρίς",
        "ne",
        "nema",
        "nie",
        "brak",
    }
    assert not FILLERS & says_no


@pytest.mark.parametrize(
    "words",
    [
        "Gas bottle empty. It smells of gas!",
        "gas bottle empty since yesterday it must leak",
        "The gas bottle was empty; smoke came out of the cooker",
        "No, smoke came out",
        "Does it work: no. Smoke!",
        "No smoke now but a burning smell",
        "Fire extinguisher used to put out a fire",
        "No water in the port bilge but water in the starboard bilge",
    ],
)
def test_a_harmless_phrase_hides_nothing_that_is_said_beside_it(words):
    assert raised_by(words)


def test_of_the_returns_questions_gas_and_water_raise_it_and_a_touch_does_not():
    raised = {question.code: about(raised_by(question.opens)) for question in QUESTIONS}
    assert raised == {
        "touched_bottom": "",
        "lifejacket_fired": "",
        "flare_or_extinguisher_used": "",
        "gas_or_fumes_smelled": "gas",
        "water_in_bilge": "water",
    }


def test_a_base_adds_words_and_takes_some_out():
    assert raised_by("The kettle whistles", alarms=["whistl*"]) == "whistl*"
    assert raised_by("Steering gear grease used up") == "steering"
    assert raised_by("Steering gear grease used up", harmless=["steering gear grease"]) == ""
    assert raised_by("Gas bottle empty", alarms=["gas bottle"]) == "gas bottle", "its own word always counts"
    assert raised_by("", alarms=[""], harmless=["", "*", "…"]) == ""


@pytest.mark.parametrize(
    ("words", "own"),
    [
        ("厨房漏气了，很严重", "漏气"),
        ("ห้องเครื่องมีควันมาก", "ควัน"),
        ("キッチンでガス漏れです", "ガス漏れ"),
        ("دخان كثير في المطبخ", "دخان"),
        ("עשן במטבח", "עשן"),
        ("रसोई में गैस की गंध", "गैस"),
        ("Дым из двигателя", "дым*"),
    ],
)
def test_a_bases_own_words_are_found_in_any_script(words, own):
    assert raised_by(words, alarms=[own]) == own
    assert raised_by("Head blocked", alarms=[own]) == ""


def test_letters_are_compared_without_accents_capitals_and_what_cannot_be_seen():
    assert folded("  Brûlé,\n  ΚΑΠΝΌΣ Łódź\u00ad ") == "brule καπνοσ lodz"
    assert raised_by("s\u00admo\u200bke") == "smoke"
    assert raised_by("ＳＭＯＫＥ") == "smoke"
    assert raised_by("swad spalenizny") == "swąd"


def test_words_may_stand_between_but_not_too_many_and_not_in_another_sentence():
    between = " ".join(["x"] * GAP_WORDS)
    assert raised_by(f"water {between} bilge")
    assert raised_by(f"water {between} x bilge") == ""
    assert raised_by("The water is off. Bilge clean") == ""


def test_what_stands_past_the_longest_report_is_not_read():
    assert raised_by("x " * (MOST_LETTERS // 2) + "smoke") == ""
