"""Croatian: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """dima|dimi|dimio|dimilo|dimila|dimom|dim iz|dim u|dim izlazi|dim se|izlazi dim|vidi se dim|
        ide dim|osjeti se dim|osjetio dim|crni dim|bijeli dim|plavi dim|gust dim|gusti dim|zadimljen*|gori|
        gorjelo|gorio|gorjela|izgorjel*|izgorio|zagorjel*|zagorio|nagorjel*|nagorio|spaljen*|paljevin*|
        vatra|vatre|vatru|vatri|požar*|plamen|plamenu|plamenovi|iskre|iskri|iskrenje|iskrilo|kratki spoj|
        kratkog spoja|pregrijava*|pregrijan*|pregrijal*|baterija … vruć*|vruća baterija|akumulator … vruć*|
        vruć akumulator|kabel … vruć*|vruć kabel|akumulator … napuh*|baterija … napuh*|utičnica … rastop*|
        kabel … rastop*|rastopljen* kabel""",
    "gas": """plin|plina|plinu|plinom|plin … curi|plin … miris*|curi … plin|plinska … curi|
        plinska … propušta|plinska … pušta|plinsko … curi|plinski alarm|šišti|šištanje|miris benzina|
        smrdi … benzin*|miris* … benzin*|miris nafte|smrdi … naft*|miris goriva|smrdi … goriv*|
        miris dizela|smrdi … dizel*|curi gorivo|curi nafta|curi benzin|curi dizel|gorivo … curi|
        nafta … curi|nafta … kaljuž*|gorivo … kaljuž*|nafta … santin*|gorivo … santin*|nafte … kaljuž*|
        goriva … kaljuž*""",
    "fumes": """ispušni plin*|ispušnih plin*|ispušnim plin*|miris ispuha|ispuh … kabin*|ispuh … salon*|
        smrdi … ispuh|ugljični monoksid|ugljikov monoksid|ugljičnog monoksida|ugljikovog monoksida|
        monoksid*|co detektor|alarm za co|isparenja|isparavanja|glavobolj*|boli glava|boli ga glava|
        boli me glava|vrtoglavic*""",
    "water": """voda … kaljuž*|vode … kaljuž*|vodu … kaljuž*|kaljuž* … voda|kaljuž* … vode|kaljuž* … vodom|
        voda … santin*|vode … santin*|vodu … santin*|santin* … voda|santin* … vode|mokra kaljuža|
        kaljuža … mokra|mokra santina|santina … mokra|puna kaljuža|kaljuža … puna|puna santina|
        santina … puna|alarm kaljuže|kaljužna pumpa … stalno|kaljužna pumpa … ne staje|
        kaljužna pumpa … ne prestaje|pumpa kaljuže … stalno|pumpa santine … stalno|
        pumpa kaljuže … ne prestaje|ulazi voda|voda ulazi|ulazi nam voda|prodire voda|voda prodire|
        prodor vode|prodor mora|brod pušta|brod uzima vodu|uzimamo vodu|brod tone|tonemo|jahta tone|
        potonu*|poplav*|voda … podnic*|podnic* … voda|voda ispod … poda|voda … strojarnic*|
        voda … motorn* prostor*|ventil … propušta|propušta … ventil|kobilica … klima|kobilica … labav*|
        kobilica … propušta|rupa … trup*|pukotina … trup*|trup … puk*|brtva osovine … propušta|
        brtvenica … propušta""",
    "steering": """kormilo|kormila|kormilu|kormilom|kormilar*|kormilarenje|ne može se upravljati|
        ne možemo upravljati|volan blokira*|timun|timuna|rudo … puk*|rudo … slom*""",
    "people": """strujni udar|strujnog udara|udar struje|udarila … struja|trese struja|trese ga struja|
        čovjek u moru|osoba u moru|dijete u moru|ozlijeđen*|ozlijedi*|ozljed*|ranjen*|krvari|krvarenje|
        bez svijesti|onesvijesti*|nesvijest*|utopi*|opeklin*|opekao|opekla""",
    "engine": """motor … ne može … ugasiti|motor … ne gasi|ne gasi se … motor|ne mogu ugasiti … motor|
        ne možemo ugasiti … motor|motor … ne staje|gas zapeo|ručica … zaglavila|ručica … zapela|
        mjenjač … zaglavio|mjenjač … blokirao""",
}
HARMLESS = """boca plina prazna|boca plina je prazna|boca za plin prazna|boca s plinom prazna|
    prazna boca plina|prazna boca za plin|boca plina potrošena|prazan plin|plin prazan|plin je prazan|
    nestalo plina|nestao plin|nestalo je plina|ponestalo plina|potrošen plin|plin potrošen|
    plin je potrošen|plin pri kraju|nema plina|nema više plina|bez plina|ne miriše na plin|
    nema mirisa plina|ne osjeti se plin|ne smrdi na plin|ne curi plin|ne dimi|ne dimi se|nema dima|
    bez dima|nije bilo dima|nema vatre|bez vatre|nema požara|baterija detektora dima|
    baterija dojavnika dima|deka protiv požara|aparat za gašenje požara|ne gori|ne gore|gori lampica|
    lampica gori|lampica stalno gori|gori lampa|gori svjetlo|svjetlo gori|svjetlo stalno gori|
    žarulja izgorjela|izgorjela žarulja|žarulja je izgorjela|izgorio osigurač|osigurač izgorio|
    osigurač je izgorio|izgorjelo svjetlo|svjetlo izgorjelo|lampa izgorjela|izgorjela lampa|
    nema vode u kaljuži|nema vode kaljuži|nema vode u santini|kaljuža suha bez vode|bez vode u kaljuži|
    ručica gasa|presvlaka kormila|navlaka kormila|kotač kormila presvlaka|nitko nije ozlijeđen|
    nitko ozlijeđen|nema ozlijeđenih"""
FILLERS = "je su se sam smo bio bila bilo jako malo skoro gotovo naš naša"
