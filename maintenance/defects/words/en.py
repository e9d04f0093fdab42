"""English: the words that raise the alarm, and the phrases in which they are harmless. Pure."""

ALARMS = {
    "fire": """smoke|smokes|smoking|smoked|smoky|burning|burns|burnt|burned|burn|burnt smell|fire|fires|
        in flames|flames from|scorch*|singed|smoulder*|smolder*|sparks|sparking|arcing|short circuit*|
        electrical smell|overheat*|thermal runaway|battery … hot|batteries … hot|hot battery|hot batteries|
        battery … swollen|batteries … swollen|swollen batter*|hot cable*|hot wire*|cable* … hot|
        wire* … hot|wiring hot|melted plug*|melted socket*|melted wire*|melted cable*|melted plastic|
        plug … melt*|socket … melt*|wire* … melt*|wiring … melt*|cable* … melt*|melting plastic""",
    "gas": """gas|lpg|propane|butane|hissing|hisses|hissed|gas … leak*|leak* … gas|gas … smell*|
        smell* … gas|gas alarm|petrol … smell*|smell* … petrol|petrol leak*|leak* petrol|gasoline smell*|
        smell* … gasoline|fuel smell*|smell* … fuel|fuel leak*|leak* fuel|fuel … bilge*|diesel smell*|
        smell* … diesel|diesel leak*|leak* diesel|diesel … bilge*|petrol … bilge*""",
    "fumes": """fumes|exhaust fumes|exhaust gas*|exhaust leak*|exhaust smell*|smell* … exhaust|
        exhaust in … cabin*|exhaust in … saloon|exhaust below|carbon monoxide|monoxide|co alarm*|
        co detector*|headache*|dizzy|dizziness""",
    "water": """water … bilge*|bilge* … water|wet bilge*|bilge* wet|bilge* full|bilge* fill*|bilge* flood*|
        bilge alarm|bilge pump … runs|bilge pump … running|bilge pump … not stop*|bilge pump … on all time|
        water … floorboard*|water … floor board*|floorboard* … water|floor under water|taking water|
        taking on water|taking in water|takes water|takes on water|took on water|taken on water|
        water com* in|water coming into|water pour* in|water leak* in|water leak* into|leak* water in|
        leaks in sea|water ingress|water rising|sea water … engine room|water … engine room|sinking|
        flooded|flooding|floods|seacock* … leak*|leak* … seacock*|through hull* … leak*|thru hull* … leak*|
        leak* … through hull*|stern gland … leak*|shaft seal … leak*|keel … leak*|keel … loose|
        keel … moves|hull … leak*|leak* … hull|hole in … hull|hull … holed|hull … crack*|crack* … hull""",
    "steering": """steering|steer|steers|rudder*|steerage|helm stuck|helm jam*|helm … not respond*|
        helm … heavy|helm … loose|wheel stuck|wheel jam*|tiller broke*|broken tiller""",
    "people": """electric shock*|electrical shock*|electric* … shock*|shock from|gives shock*|got shock*|
        electrocut*|live wire*|man overboard|person overboard|somebody overboard|someone overboard|
        crew overboard|child overboard|injur*|hurt|hurts|wounded|bleeding|bleeds|unconscious|passed out|
        drown*|scalded""",
    "engine": """engine … won't stop|engine … wont stop|engine … will not stop|engine … not stop|
        engine … doesn't stop|engine … can't be stopped|engine … cannot be stopped|engine … keeps running|
        engine runaway|engine runs away|can't stop … engine|cannot stop … engine|could not stop … engine|
        couldn't stop … engine|stuck in gear|stuck in forward|stuck in reverse|out of gear stuck|
        throttle … stuck|throttle … jam*|prop* turn* in neutral""",
}
HARMLESS = """gas bottle* empty|gas cylinder* empty|gas bottle* finished|gas bottle* out|gas bottle* low|
    gas bottle* missing|gas bottle* run out|gas bottle* ran out|empty gas bottle*|empty gas cylinder*|
    both gas bottle* empty|bottle of gas empty|bottle of gas finished|new gas bottle needed|
    need* gas bottle|need* new gas bottle|need* full gas bottle|gas empty|gas is empty|gas was empty|
    gas finished|gas is finished|gas low|gas is low|gas run out|gas has run out|gas ran out|
    gas running out|gas is running out|run out of gas|ran out of gas|out of gas|low on gas|no gas|
    no more gas|no gas left|not enough gas|without gas|gas used up|gas lighter*|gas locker key|
    propane empty|propane bottle* empty|propane tank empty|butane empty|butane bottle* empty|no propane|
    out of propane|no smell of gas|no gas smell|no gas leak*|no leak of gas|not smell gas|not smell of gas|
    not smell any gas|no smell of fuel|no smell of diesel|no fuel smell|no diesel smell|no fuel leak*|
    no diesel leak*|no smoke|no sign of smoke|no smell of smoke|without smoke|not smoking|no smoking|
    non smoking|don't smoke|cigarette smoke|smoke from cigarettes|smoke signal*|smoke flare*|orange smoke|
    smoke float|smoke detector battery|smoke alarm battery|smoke detector missing|smoke alarm missing|
    smoke detector expired|smoke alarm expired|smoke detector out of date|smoke alarm out of date|
    battery of smoke alarm|battery of smoke detector|battery in smoke alarm|battery in smoke detector|
    no fire|no flames|fire extinguisher*|fire blanket*|fire port|fire drill|fire alarm battery|no burning|
    not burning|no burning smell|no burnt smell|no smell of burning|nothing burnt|nothing burned|
    bulb burnt out|bulb is burnt out|bulb burned out|bulb is burned out|burnt out bulb*|burned out bulb*|
    burnt bulb*|not burn|doesn't burn|don't burn|didn't burn|
    won't burn|burns a lot of diesel|burns a lot of fuel|burns a lot of oil|burns lots of diesel|
    burns more diesel|burns more fuel|burns more oil|burn a lot of diesel|
    burn a lot of fuel|burn a lot of oil|burning a lot of diesel|burning a lot of fuel|
    burning a lot of oil|burning more diesel|burning more fuel|nav light burnt|
    nav light is burnt|anchor light burnt|anchor light is burnt|
    light burnt out|light is burnt out|light burned out|lamp burnt out|lamp is burnt out|
    lamp burned out|burnt out lamp*|burns oil|burns fuel|burns too much|fuse burnt out|fuse burned out|
    not overheat*|no overheat*|no fumes|no exhaust fumes|no exhaust smell|no headache*|co alarm missing|
    co alarm battery|co alarm expired|co alarm out of date|co detector missing|co detector battery|
    co detector expired|carbon monoxide alarm missing|carbon monoxide alarm battery|
    carbon monoxide alarm expired|carbon monoxide detector missing|carbon monoxide detector battery|
    carbon monoxide detector expired|water tank*|water tank empty|no water in bilge*|
    no water in the bilge*|no bilge water|bilge free of water|bilges free of water|bilge dry no water|
    not taking water|not sinking|no flooding|steering wheel cover*|steering wheel leather*|
    steering compass|steering pedestal table*|steering pedestal cover*|no steering problem*|steering ok|
    steering is ok|steering fine|steering is fine|rudder indicator|rudder angle indicator|rudder gauge|
    nobody hurt|nobody was hurt|nobody is hurt|no one hurt|no one was hurt|no one is hurt|nobody injured|
    nobody was injured|no one injured|no one was injured|not hurt|no injur*|no electric shock*"""
FILLERS = "the a an is are was were some our its of very quite nearly almost now all both still on"
