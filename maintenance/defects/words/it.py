"""Italian: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """fumo|fuma|fumano|fumava|fumante|bruciato|bruciata|bruciati|bruciate|brucia|bruciano|
        bruciava|bruciando|fuoco|incendi*|fiamme|scintill*|corto circuito|cortocircuito|surriscald*|
        batteria … calda|batteria … bollente|batteria … gonfia|cavo … caldo|cavi … caldi|cavo … fuso|
        cavi … fusi|presa … fusa|plastica fusa""",
    "gas": """fuga … gas|perdita … gas|gas … perde|gas … perdita|gas … puzza|odore … gas|puzza … gas|
        sibila|sibilo|propano|butano|puzza di benzina|odore di benzina|puzza di gasolio|odore di gasolio|
        puzza di nafta|odore di nafta|odore di carburante|puzza di carburante|perdita di gasolio|
        perdita di nafta|perdita di benzina|perdita di carburante|gasolio … sentina|nafta … sentina|
        benzina … sentina""",
    "fumes": """fumi|gas di scarico|fumi di scarico|scarico … cabina|puzza di scarico|odore di scarico|
        monossido|allarme co|rilevatore co|esalazion*|vapori|mal di testa|vertigini|giramenti di testa""",
    "water": """acqua … sentina|acqua … sentine|sentina … acqua|sentine … acqua|sentina bagnata|
        sentina piena|sentina allagata|sentina umida|allarme sentina|allarme di sentina|
        pompa di sentina … sempre|pompa sentina … sempre|pompa di sentina … continu*|
        pompa sentina … continu*|pompa sentina … si ferma|pompa di sentina … si ferma|imbarca acqua|
        imbarchiamo acqua|imbarcando acqua|imbarcato acqua|entra acqua|entra l'acqua|entra dell'acqua|
        acqua entra|acqua che entra|ingresso d'acqua|via d'acqua|falla nello scafo|falla nella chiglia|
        falla sotto|allagat*|allagamento|affonda|affondando|affondiamo|acqua … paglioli|paglioli … acqua|
        acqua … vano motore|presa a mare … perde|perde … presa a mare|passascafo … perde|
        premistoppa … perde|chiglia … perde|chiglia … lasca|scafo … perde|buco … scafo|foro … scafo|
        crepa … scafo""",
    "steering": """timone|timoni|timoneria|frenelli|ingovernabile|non governa|non si governa|sterzo|
        barra … bloccata|barra … rotta""",
    "people": """scossa elettrica|scosse elettriche|preso la scossa|prende la scossa|dà la scossa|
        una scossa|folgorat*|uomo a mare|uomo in mare|persona in mare|persona a mare|bambino in mare|
        ferito|ferita|feriti|ferite|sanguina*|svenut*|svenimento|incosciente|privo di sensi|annega|
        annegat*|ustion*""",
    "engine": """motore … non si spegne|motore … non si ferma|non … spegnere … motore|
        non … fermare … motore|motore … fuori giri|marcia bloccata|acceleratore bloccato|manetta bloccata|
        invertitore bloccato""",
}
HARMLESS = """bombola gas vuota|bombola del gas vuota|bombola di gas vuota|bombola a gas vuota|
    bombole gas vuote|bombole del gas vuote|bombole di gas vuote|bombola gas finita|bombola del gas finita|
    bombola gas scarica|bombola gas esaurita|bombola del gas esaurita|gas finito|gas è finito|
    finito il gas|finito gas|è finito il gas|gas esaurito|gas è esaurito|gas terminato|gas scarso|
    senza gas|niente gas|manca gas|manca il gas|non c'è gas|non c'è più gas|non c'è odore di gas|
    nessun odore di gas|nessuna perdita di gas|nessuna fuga di gas|non puzza di gas|
    non ci sono perdite di gas|cambiare bombola gas|cambiare la bombola del gas|leva del gas|leva gas|
    manetta del gas|manetta gas|cavo del gas|dare gas|do gas|dato gas|tutto gas|accendigas|propano finito|
    propano esaurito|butano finito|niente fumo|nessun fumo|senza fumo|non c'è fumo|non fuma|non fa fumo|
    segnale di fumo|boetta di fumo|rilevatore di fumo batteria|batteria del rilevatore di fumo|
    batteria rilevatore di fumo|rilevatore di fumo scaduto|rilevatore di fumo mancante|
    manca rilevatore di fumo|manca il rilevatore di fumo|nessun incendio|non c'è incendio|nessun fuoco|
    a fuoco|messa a fuoco|coperta anti fuoco|coperta anti incendio|estintore incendio|lampadina bruciata|
    lampadine bruciate|lampadina è bruciata|lampada bruciata|lampade bruciate|luce bruciata|luci bruciate|
    luce è bruciata|luce di via non brucia|luce non brucia|luci non bruciano|
    luce di via bruciata|luce di fonda bruciata|fanale bruciato|fanale di fonda bruciato|fanale è bruciato|
    fusibile bruciato|fusibile è bruciato|fusibili bruciati|brucia olio|brucia troppo|
    nessun odore di bruciato|non puzza di bruciato|nessuna esalazione|allarme co mancante|
    allarme co batteria|allarme co scaduto|rilevatore co mancante|rilevatore co scaduto|
    rilevatore co batteria|batteria rilevatore co|niente acqua in sentina|nessuna acqua in sentina|
    non c'è acqua in sentina|senza acqua in sentina|sentina asciutta|sentina senza acqua|
    serbatoio acqua vuoto|timone automatico|indicatore timone|indicatore del timone|
    indicatore angolo timone|indicatore di angolo timone|copertura timone|rivestimento ruota del timone|
    copri ruota timone|nessun ferito|nessuno ferito|nessuno è ferito|nessuno si è ferito|
    non ci sono feriti|non è ferito"""
FILLERS = "il lo la i gli le un una uno del della dei di è sono era erano molto quasi nostra nostro nella nel"
