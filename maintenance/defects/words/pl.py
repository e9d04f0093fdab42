"""Polish: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """dym|dymu|dymem|dymi|dymiło|dymił|dymiła|dymi się|zadymi*|swąd|swędu|spalenizn*|spalon*|
        spalił*|pali się|paliło się|palił się|paliła się|się pali|przypalon*|przypalił*|nadpalon*|
        nadpalił*|ogień|ognia|ogniem|pożar*|płomienie|płomieni|iskrzy|iskry|iskrzenie|iskrzyło|zwarcie|
        zwarcia|przegrzewa*|przegrzał*|przegrzan*|tli się|gorący kabel|kabel … gorący|gorąca bateria|
        bateria … gorąca|gorący akumulator|akumulator … gorący|akumulator … spuch*|bateria … spuch*|
        stopion* kabel|stopiona wtyczka|stopione gniazdko|stopiły się … kable|stopił się … kabel""",
    "gas": """gaz|gazu|gazem|gaz … ulatnia|gaz … uchodzi|wyciek … gazu|gazu … wyciek|czuć … gaz*|
        zapach … gazu|syczy|syczenie|zapach benzyny|czuć benzyn*|śmierdzi benzyn*|zapach paliwa|
        czuć paliw*|śmierdzi paliw*|zapach ropy|czuć rop*|śmierdzi rop*|wyciek paliwa|wyciek ropy|
        wyciek benzyny|cieknie paliwo|cieknie ropa|cieknie benzyna|paliwo … zęz*|ropa … zęz*|paliwa … zęz*|
        ropy … zęz*|benzyna … zęz*""",
    "fumes": """spalin|spaliny|spalinami|spalinach|tlenek węgla|tlenku węgla|tlenkiem węgla|czad|czadu|
        czadem|czujnik co|czujnika co|opary|oparów|ból głowy|bóle głowy|bólu głowy|boli głowa|
        boli mnie głowa|bolała głowa|zawroty głowy""",
    "water": """woda … zęz*|wody … zęz*|wodę … zęz*|zęz* … woda|zęz* … wody|zęz* … wodą|mokra zęza|
        zęza … mokra|pełna zęza|zęza … pełna|alarm zęzy|alarm zęzowy|pompa zęzowa … cały czas|
        pompa zęzowa … ciągle|pompa zęzowa … nie wyłącza|pompa zęzowa … bez przerwy|nabiera wody|
        nabieramy wody|nabierał wody|bierze wodę|bierzemy wodę|wdziera się woda|wlewa się woda|
        woda … wlewa|woda … wdziera|dostaje się woda|woda dostaje się|wchodzi woda|przeciek … kadłub*|
        kadłub … przecieka|zawór denny … cieknie|cieknie zawór denny|zawór denny … przecieka|
        dławnic* … cieknie|dziura … kadłub*|pęknięcie … kadłub*|kadłub … pękni*|tonie|toniemy|tonęliśmy|
        zatopion*|zalan*|zalewa|woda … podłog*|podłog* … woda|woda … silnikow*|kil … luźny|kil … rusza|
        kil … przecieka|kil … cieknie""",
    "steering": """ster|steru|stery|sterem|sterów|sterowania|sterowanie|sterować|sterowność|sterowności|
        niesterown*|układ sterowy|koło sterowe|płetwa sterowa|rumpel … złaman*|złamany rumpel|
        rumpel … pękł*""",
    "people": """porażenie prądem|porażony prądem|poraził* … prąd|kopie prądem|kopie prąd|kopnął … prąd|
        kopnęło prądem|człowiek za burtą|osoba za burtą|dziecko za burtą|ranny|ranna|ranni|zranion*|
        zranił*|krwawi|krwawienie|krwotok|nieprzytomn*|zemdlał*|utonął|utonęł*|oparzeni*|oparzył*|
        poparzeni*|poparzył*|skaleczon*|skaleczył*""",
    "engine": """silnik … nie gaśnie|silnik … nie zatrzymuje|silnik … nie wyłącza|nie … zgasić … silnika|
        nie … wyłączyć … silnika|nie … zatrzymać … silnika|silnik … nie da się|manetka … zacię*|
        zacięta manetka|bieg … zaciął|przekładnia … zablokowana""",
}
HARMLESS = """butla z gazem pusta|butla z gazem jest pusta|butla gazu pusta|pusta butla z gazem|
    pusta butla gazu|pusta butla po gazie|skończył się gaz|skończył nam się gaz|gaz się skończył|
    gaz skończył się|brak gazu|nie ma gazu|nie ma już gazu|zabrakło gazu|kończy się gaz|gaz się kończy|
    bez gazu|nie czuć gazu|brak zapachu gazu|bez zapachu gazu|nie ma wycieku gazu|manetk* gazu|
    dźwigni* gazu|link* gazu|dodać gazu|dodaniu gazu|dodawaniu gazu|dodaje gazu|brak dymu|bez dymu|
    nie ma dymu|nie było dymu|brak ognia|nie ma ognia|nie było ognia|nie dymi|bateria czujnika dymu|
    czujnik dymu bateria|koc na ogień|spalona żarówka|żarówka spalona|żarówka jest spalona|
    spaliła się żarówka|żarówka się spaliła|żarówka spaliła się|światło się spaliło|światło spaliło się|
    światło kotwiczne się spaliło|spalony bezpiecznik|bezpiecznik spalony|
    bezpiecznik jest spalony|spalił się bezpiecznik|bezpiecznik się spalił|nie pali się|się nie pali|
    światło się pali|światło pali się|pali się światło|pali się kontrolka|kontrolka się pali|
    kontrolka pali się|pali się lampka|lampka się pali|lampka pali się|pali się dioda|dioda się pali|
    nie ma wody w zęzie|brak wody w zęzie|nie ma wody zęzie|bez wody w zęzie|pokrowiec na koło sterowe|
    pokrowiec koła sterowego|obicie koła sterowego|wskaźnik steru|wskaźnik wychylenia steru|
    nikt nie jest ranny|nikt ranny"""
FILLERS = "się jest są był była było bardzo trochę prawie nasz nasza mi nam"
