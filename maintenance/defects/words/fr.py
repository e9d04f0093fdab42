"""French: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """fumée|fumées|fume|fument|fumait|enfumé*|brûlé|brûlée|brûlés|brûlées|brûle|brûlent|brûlait|
        roussi|cramé|cramée|crame|en feu|au feu|prend feu|pris feu|prendre feu|feu à bord|il y a le feu|
        y a du feu|feu dans|feu électrique|départ de feu|début de feu|début d'incendie|incendie*|flammes|
        étincelle*|court circuit*|surchauff*|batterie … chaude|batterie … brûlante|batterie … gonflée|
        câble … chaud|fils … chauds|câble* … fondu*|prise … fondue|fils … fondus|plastique fondu""",
    "gas": """gaz|fuite … gaz|gaz … fuit|gaz … fuite|gaz … odeur|gaz … sent|sent … gaz|gaz … siffle|
        sifflement|odeur d'essence|odeur de gasoil|odeur de gazole|odeur de diesel|odeur de carburant|
        sent l'essence|sent le gasoil|sent le gazole|sent le diesel|sent le carburant|fuite d'essence|
        fuite de gasoil|fuite de gazole|fuite de carburant|gasoil … cale*|gasoil … fonds|gazole … cale*|
        gazole … fonds|carburant … cale*|essence … cale*|essence … fonds""",
    "fumes": """gaz d'échappement|échappement dans|échappement … cabine|échappement … carré|
        odeur d'échappement|fuite d'échappement|monoxyde|alarme co|détecteur co|vapeurs|maux de tête|
        mal de tête|mal à la tête|vertige*""",
    "water": """eau … cale|eau … cales|eau … fonds|eau … fond|cale* … eau|fonds … eau|cale … mouillée|
        cale … pleine|cale … trempée|cale humide|voie d'eau|voies d'eau|prend l'eau|prend de l'eau|
        prenons l'eau|prenons de l'eau|prenait l'eau|eau rentre|eau entre|eau monte|entrée d'eau|
        entrées d'eau|inondé*|inondation*|bateau coule|on coule|nous coulons|eau … plancher*|
        plancher* … eau|pompe de cale tourne|pompe de cale … sans arrêt|pompe de cale … permanence|
        pompe de cale … arrête pas|alarme de cale|vanne* … fuit|vanne* … fuite|passe coque … fuit|
        passe coque … fuite|presse étoupe … fuit|joint tournant … fuit|quille … fuit|quille … jeu|
        quille … bouge|coque percée|trou … coque|fissure … coque|coque … fissur*|
        eau … compartiment moteur""",
    "steering": """gouvernail|safran|safrans|drosse|drosses|barre bloquée|barre dure|barre … bloque*|
        barre … jeu|barre … répond|barre … cassée|barre à roue|plus de direction|problème de direction|
        direction bloquée|ingouvernable|impossible de barrer|ne gouverne plus|appareil à gouverner""",
    "people": """choc électrique|chocs électriques|électrocut*|décharge électrique|pris le courant|
        pris le jus|prend le jus|homme à la mer|personne à la mer|enfant à la mer|blessé|blessée|blessés|
        blessées|blessure*|saigne*|inconscient*|évanoui*|noyade|s'est noyé|se noie""",
    "engine": """moteur … s'arrête pas|moteur … s'arrête plus|moteur … s'emballe|
        impossible d'arrêter … moteur|moteur … refuse de s'arrêter|moteur continue … tourner|
        impossible d'éteindre … moteur|manette bloquée|inverseur bloqué|reste en prise|accélérateur bloqué|
        accélérateur coincé""",
}
HARMLESS = """bouteille* de gaz vide*|bouteille de gaz presque vide|bouteille de gaz finie|
    bouteille de gaz terminée|bouteille de gaz à changer|bouteille de gaz à remplacer|bouteille gaz vide|
    changer la bouteille de gaz|bonbonne de gaz vide|cartouche de gaz vide|gaz vide|gaz est vide|gaz fini|
    gaz terminé|gaz épuisé|plus de gaz|pas de gaz|panne de gaz|à court de gaz|manque de gaz|manque le gaz|
    sans gaz|allume gaz|pas d'odeur de gaz|aucune odeur de gaz|sans odeur de gaz|ne sent pas le gaz|
    pas de fuite de gaz|aucune fuite de gaz|mettre les gaz|met les gaz|manette des gaz|manette de gaz|
    levier des gaz|poignée des gaz|commande des gaz|câble des gaz|plein gaz|pas de fumée|pas de fumées|
    aucune fumée|sans fumée|ne fume pas|ne fume plus|non fumeur|détecteur de fumée absent|
    pile du détecteur de fumée|pile détecteur de fumée|détecteur de fumée sans pile|
    détecteur de fumée périmé|détecteur de fumée manque|pas de feu|pas d'incendie|aucun incendie|
    extincteur d'incendie|extincteur incendie|couverture anti feu|couverture anti incendie|
    couverture incendie|ampoule brûlée|ampoules brûlées|ampoule est brûlée|ampoule a brûlé|lampe brûlée|
    fusible brûlé|fusible a brûlé|fusible est brûlé|pas brûlé|ne brûle pas|ne brûlent pas|
    pas de brûlé|brûle de l'huile|brûle trop|
    pas d'odeur de brûlé|aucune odeur de brûlé|pas de vapeurs|alarme co absente|alarme co pile|
    alarme co périmée|détecteur co absent|détecteur co périmé|détecteur co pile|pile du détecteur co|
    pas d'eau dans la cale|pas d'eau dans cale|pas d'eau dans les fonds|pas d'eau dans les cales|
    aucune eau dans la cale|cale sèche|cale sans eau|réservoir d'eau vide|housse de barre à roue|
    cuir de barre à roue|housse barre à roue|indicateur de safran|indicateur d'angle de safran|
    personne n'est blessé*|personne blessé|aucun blessé|pas de blessé*|pas d'électrocution"""
FILLERS = "le la les l un une des du de d est sont était étaient très presque un peu nos notre se s"
