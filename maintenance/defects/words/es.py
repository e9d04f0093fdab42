"""Spanish: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """humo|humos|humea|humeando|quemado|quemada|quemados|quemadas|quema|queman|quemaba|quemando|
        quemó|chamuscad*|fuego|incendi*|llamas|arde|arden|ardía|ardiendo|chispas|chispazo*|cortocircuito|
        corto circuito|sobrecalent*|recalent*|batería* … caliente*|batería* … hinchada*|cable* … caliente*|
        cable* … derretido*|enchufe … derretido|plástico derretido""",
    "gas": """fuga … gas|escape … gas|gas … fuga|gas … huele|huele … gas|olor … gas|gas … pierde|silbido|
        silba|olor … gasolina|huele … gasolina|olor … gasoil|huele … gasoil|olor … gasóleo|huele … gasóleo|
        olor … diésel|huele … diésel|olor … combustible|huele … combustible|fuga de combustible|
        fuga de gasoil|fuga de gasóleo|fuga de gasolina|gasoil … sentina|gasóleo … sentina|
        combustible … sentina|gasolina … sentina""",
    "fumes": """gases|gases de escape|humos de escape|escape … cabina|olor … escape|huele … escape|
        monóxido|alarma de co|alarma co|detector de co|detector co|vapores|dolor de cabeza|
        dolores de cabeza|vértigo""",
    "water": """agua … sentina|agua … sentinas|sentina … agua|sentinas … agua|sentina mojada|sentina llena|
        sentina húmeda|sentina inundada|alarma de sentina|bomba de sentina … siempre|
        bomba de sentina … no para|bomba de sentina … continu*|bomba de sentina … constante*|
        bomba de achique … siempre|bomba de achique … no para|bomba de achique … continu*|hace agua|
        hacemos agua|haciendo agua|entra agua|entra el agua|está entrando agua|agua entrando|agua entra|
        entrada de agua|vía de agua|se hunde|nos hundimos|hundiendo*|inundad*|inundación|agua bajo … suelo|
        agua debajo … suelo|agua sobre … suelo|agua … panas|panas … agua|agua … sala de máquinas|
        agua … compartimento … motor|grifo de fondo … pierde|pierde … grifo de fondo|grifo de fondo … fuga|
        pasacascos … pierde|pasacascos … fuga|prensaestopas … pierde|bocina … pierde agua|quilla … suelta|
        quilla … pierde|agujero … casco|grieta … casco""",
    "steering": """timón|timones|guardín|guardines|no gobierna|sin gobierno|sistema de gobierno|
        rueda bloqueada|caña rota|dirección bloqueada|dirección rota""",
    "people": """descarga eléctrica|descargas eléctricas|calambre|calambres|calambrazo*|electrocut*|
        hombre al agua|persona al agua|niño al agua|niña al agua|herido|herida|heridos|heridas|lesión|
        lesionad*|sangra|sangrando|inconsciente|desmayó|desmayad*|se ahoga alguien|ahogándose|quemadura*""",
    "engine": """motor … no para|motor … no se para|motor … no se apaga|no … parar … motor|
        no … apagar … motor|motor embalado|motor … se embala|marcha bloqueada|acelerador bloqueado|
        acelerador atascado|palanca bloqueada|inversor bloqueado""",
}
HARMLESS = """bombona de gas vacía|bombonas de gas vacías|bombona de gas está vacía|bombona del gas vacía|
    botella de gas vacía|botellas de gas vacías|botella del gas vacía|bombona de gas gastada|
    bombona de gas acabada|bombona de gas terminada|bombona gas vacía|cambiar bombona de gas|
    cambiar la bombona de gas|gas vacío|gas agotado|gas acabado|gas terminado|gas se acabó|gas se terminó|
    acabó el gas|acabado el gas|terminó el gas|terminado el gas|sin gas|no hay gas|no queda gas|
    no tenemos gas|poco gas|falta gas|falta el gas|con gas|no huele a gas|sin olor a gas|ningún olor a gas|
    no hay olor a gas|no hay fuga de gas|no hay fugas de gas|sin fuga de gas|sin fugas de gas|dar gas|
    doy gas|palanca de gas|palanca del gas|mando de gas|mando del gas|cable del gas|cable de gas|sin humo|
    no hay humo|nada de humo|ningún humo|no echa humo|no hace humo|no sale humo|señal* de humo|
    bengala* de humo|bote* de humo|pila del detector de humo*|pilas del detector de humo*|
    batería del detector de humo*|detector de humo* sin pila*|detector de humo* caducado|
    falta detector de humo*|falta el detector de humo*|sin fuego|no hay fuego|manta de fuego|
    manta contra fuego|manta contra incendios|extintor de incendios|extintor incendios|no hay incendio|
    bombilla quemada|bombillas quemadas|bombilla está quemada|bombilla fundida|luz quemada|
    luz no arde|luz está quemada|luz de navegación quemada|
    luz de fondeo quemada|luz del ancla está quemada|luz de fondeo no arde|
    luces quemadas|
    foco quemado|fusible quemado|fusibles quemados|quema aceite|quema mucho|sin olor a quemado|
    no huele a quemado|no hay olor a quemado|sin gases|alarma de co sin pila*|alarma de co caducada|
    falta alarma de co|detector de co sin pila*|detector de co caducado|falta detector de co|
    falta el detector de co|sin agua en la sentina|sin agua sentina|no hay agua en la sentina|
    no hay agua en sentina|nada de agua en la sentina|sentina seca|depósito de agua vacío|
    tanque de agua vacío|indicador de timón|indicador del timón|indicador de ángulo de timón|
    funda del timón|funda de la rueda del timón|luz del timón|nadie herido|nadie está herido|
    nadie resultó herido|sin heridos|ningún herido|no hay heridos"""
FILLERS = "el la los las un una del de está están es son era muy casi nuestra nuestro en"
