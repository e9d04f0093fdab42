"""German: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """rauch|raucht|rauchte|rauchend*|rauchig*|rauchentwicklung|rauchgeruch|rauchwolke*|
        rauchmelder|qualm|qualmt|qualmte|qualmend*|verqualmt*|brennt|brannte|gebrannt|brandgeruch|
        brandgefahr|brandspur*|kabelbrand|schmorbrand|schwelbrand|motorbrand|batteriebrand|brand im|
        brand in|brand an bord|feuer|flammen|verbrannt*|angebrannt*|schmort|schmorte|verschmort*|
        angeschmort*|verkohlt*|kokelt|kokelig|funkenflug|funken sprüh*|schlägt funken|funken schlagen|
        kurzschluss|überhitz*|kabel … heiß|heiße* kabel|batterie* … heiß|heiße batterie*|
        batterie* … aufgebläht|batterie … dick|riecht nach plastik|kabel … geschmolzen|
        stecker … geschmolzen|geschmolzene* stecker|geschmolzene* kabel""",
    "gas": """gasgeruch|gasleck*|gasaustritt|gasalarm|gasmelder … piept|gaswarner … piept|gas … undicht|
        gas … riech*|riech* … gas|gasflasche … undicht|gasflasche … zischt|gasflasche … riecht|
        gasleitung … undicht|gasschlauch|gasherd … riecht|zischt|zischen|propan|butan|benzingeruch|
        dieselgeruch|riech* … benzin|riech* … diesel|riech* … kraftstoff|kraftstoffgeruch|kraftstoffleck*|
        dieselleck*|benzinleck*|diesel läuft aus|benzin läuft aus|kraftstoff läuft aus|diesel … bilge|
        kraftstoff … bilge|benzin … bilge""",
    "fumes": """abgas|abgase|abgasen|abgasgeruch|abgasleck*|auspuffgas*|auspuff … kabine|auspuff … undicht|
        kohlenmonoxid|kohlenmonoxyd|kohlenmonoxidmelder|co melder|co warner|dämpfe|dämpfen|kopfschmerz*|
        kopfweh|schwindlig|schwindelig|schwindelgefühl""",
    "water": """wasser … bilge*|bilge* … wasser|bilgenwasser|bilgewasser|nasse bilge|bilge … nass|
        bilge … voll|bilgenalarm|bilgealarm|bilgepumpe läuft|bilgenpumpe läuft|bilgepumpe … ständig|
        bilgenpumpe … ständig|bilgepumpe … dauernd|bilgenpumpe … dauernd|wassereinbruch|wasser dringt|
        wasser kommt rein|wasser kommt herein|wasser kommt ins|wasser kommt durch|wasser läuft ins|
        wasser läuft rein|wasser läuft hinein|wasser tritt ein|wasser tritt aus seeventil|wasser im schiff|
        wasser im boot|wasser im motorraum|wasser … bodenbrett*|bodenbretter … wasser|nimmt wasser|
        nehmen wasser|boot macht wasser|schiff macht wasser|boot zieht wasser|schiff zieht wasser|
        boot sinkt|schiff sinkt|yacht sinkt|wir sinken|geflutet|überflutet|seeventil* … undicht|
        seeventil* … leck*|borddurchlass … undicht|stopfbuchse … undicht|stopfbuchse … läuft|
        wellendichtung … undicht|saildrive … undicht|kiel … lose|kiel … undicht|loch … rumpf|leck … rumpf|
        riss … rumpf|rumpf … riss""",
    "steering": """steuerung|ruderanlage|ruderausfall|ruder klemmt|ruder blockiert|ruder … gebrochen|
        ruder … locker|ruder … spiel|ruder … schwer|ruder … nicht|ruderschaft|ruderblatt|ruderlager|
        steuerseil*|ruderseil*|steuerrad|lenkung|nicht … steuern|nicht steuerbar|manövrierunfähig""",
    "people": """stromschlag*|stromschläge*|elektrischer schlag|elektrischen schlag|schlag bekommen|
        mann über bord|person über bord|kind über bord|verletzt*|verletzung*|blutet|blutung|bewusstlos*|
        ertrinkt|ertrunken|verbrüht*|verbrühung*|ohnmächtig""",
    "engine": """motor … geht nicht aus|motor … nicht ab*|motor … nicht aus*|motor … nicht stoppen|
        motor läuft weiter|motor dreht hoch|gashebel klemmt|gashebel hängt|gang … nicht raus|gang … klemmt|
        getriebe … klemmt""",
}
HARMLESS = """gas leer|gas ist leer|gas fast leer|gas ist fast leer|gas alle|gas ist alle|gas aufgebraucht|
    gas verbraucht|gas geht zu ende|gas zu ende|gas nachfüllen|flasche gas leer|flasche mit gas leer|
    leere flasche gas|kein gas|kein gas mehr|ohne gas|gas fehlt|neues gas|gas geben|gas gegeben|gas gibt|
    gas gebe|gib* gas|gebe gas|gas wegnehm*|gas weggenommen|gas zurück*|mehr gas|weniger gas|wenig gas|
    viel gas|vollgas|kein gasgeruch|keinen gasgeruch|riecht nicht nach gas|kein geruch nach gas|
    kein gasleck*|kein gasaustritt|gasschlauch ablaufdatum|gasschlauch datum|gasschlauch abgelaufen|
    propan leer|propan ist leer|kein propan|butan leer|butan ist leer|propan alle|kein rauch|keinen rauch|
    ohne rauch|raucht nicht|rauchmelder fehlt|rauchmelder batterie|rauchmelder batterien|
    rauchmelder batterie leer|rauchmelder abgelaufen|batterie rauchmelder|batterie im rauchmelder|
    batterie vom rauchmelder|rauchmelder defekt|kein feuer|kein offenes feuer|ohne feuer|feuer löscher*|
    kein brand|kein brandgeruch|keine flammen|brennt nicht|brennt noch|brennt nur|licht brennt|
    lampe brennt|lämpchen brennt|leuchte brennt|kontrolllampe brennt|ankerlicht brennt|toplicht brennt|
    topplicht brennt|durchgebrannt*|birne verbrannt|verbrannte birne|ohne abgase|keine abgase|
    keine kopfschmerzen|kohlenmonoxidmelder fehlt|kohlenmonoxidmelder batterie|
    kohlenmonoxidmelder abgelaufen|co melder fehlt|co melder batterie|co melder abgelaufen|co warner fehlt|
    co warner batterie|co warner abgelaufen|kein wasser in der bilge|kein wasser bilge|keine wasser bilge|
    kein bilgenwasser|kein bilgewasser|bilge ohne wasser|wassertank leer|steuerrad bezug|steuerrad leder|
    steuerrad lederbezug|steuerung ok|steuerung ist ok|steuerung heizung|steuerung ankerwin*|
    steuerung der ankerwin*|steuerung der heizung|niemand verletzt|niemand wurde verletzt|
    niemand ist verletzt|keiner verletzt|keine verletzten|nicht verletzt|keine verletzung*"""
FILLERS = "der die das den dem des ein eine einen einem ist war sind waren sehr fast ganz noch etwas nach"
