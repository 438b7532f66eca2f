"""Words that the rules look for. All folded: small letters without accents.

To ban another word: write it with its plural under its language. English words of the first list
were read in guides that follow the code; what they are in other languages is from memory.
"""

from __future__ import annotations


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


# The code's own words, with their plurals.
BANNED_READ = {
    "form": "forms", "variety": "varieties", "cultivar": "cultivars", "grex": "greges",
    "group": "groups", "hybrid": "hybrids", "maintenance": "maintenances",
    "mixture": "mixtures", "selection": "selections", "series": "series", "sport": "sports",
}  # fmt: skip
# In an older list of a registrar; whether the newest code has them is from memory.
BANNED_OLDER = {
    "strain": "strains", "improved": "", "transformed": "", "mutant": "mutants",
    "seedling": "seedlings",
}  # fmt: skip
# language -> {English word: words of that language, singular and plural}
BANNED_ABROAD = {
    "German": {
        "form": "form formen", "variety": "varietat varietaten sorte sorten",
        "cultivar": "kultivar kultivare kultivars", "group": "gruppe gruppen",
        "hybrid": "hybride hybriden", "mixture": "mischung mischungen gemisch gemische",
        "selection": "auslese auslesen selektion selektionen", "series": "serie serien",
        "strain": "stamm stamme", "improved": "verbessert verbesserte verbesserter verbessertes",
        "mutant": "mutante mutanten", "seedling": "samling samlinge saemling saemlinge",
    },
    "French": {
        "form": "forme formes", "variety": "variete varietes", "group": "groupe groupes",
        "hybrid": "hybride hybrides", "mixture": "melange melanges",
        "selection": "selection selections", "series": "serie series",
        "improved": "ameliore amelioree ameliores ameliorees",
        "mutant": "mutant mutants mutante mutantes", "seedling": "semis",
    },
    "Dutch": {
        "form": "vorm vormen", "variety": "varieteit varieteiten ras rassen",
        "group": "groep groepen", "hybrid": "hybride hybriden", "mixture": "mengsel mengsels",
        "selection": "selectie selecties", "series": "serie series",
        "seedling": "zaailing zaailingen", "improved": "verbeterd verbeterde",
    },
    "Italian": {
        "form": "forma forme", "variety": "varieta", "group": "gruppo gruppi",
        "hybrid": "ibrido ibridi", "mixture": "miscela miscele miscuglio miscugli",
        "selection": "selezione selezioni", "series": "serie",
    },
    "Spanish": {
        "form": "forma formas", "variety": "variedad variedades",
        "cultivar": "cultivar cultivares", "group": "grupo grupos",
        "hybrid": "hibrido hibridos", "mixture": "mezcla mezclas",
        "selection": "seleccion selecciones", "series": "serie series",
    },
    "Latin": {
        "form": "forma formae", "variety": "varietas varietates", "hybrid": "hybrida hybridae",
        "group": "grex greges",
    },
}  # fmt: skip

# Praise beyond the facts: which words that are is ours to say, from memory.
PRAISE = {
    "English": """best better finest greatest most ever perfect perfection unsurpassed ultimate
    supreme superb superior super unique unrivalled unbeatable matchless peerless largest biggest
    tallest loveliest prettiest brightest deepest earliest latest darkest purest hardiest sweetest
    incomparable outstanding""",
    "German": """beste bester bestes besten schonste schonster schonstes grosste grosster
    grosstes perfekt vollkommen einzigartig unubertroffen unvergleichlich allerbeste""",
    "French": """meilleur meilleure meilleurs parfait parfaite incomparable insurpassable""",
}

# Written small within a name. The first list may be written either way and gets a hint.
SMALL_ENGLISH = _set("of and or for from with in on at by to")
SMALL = SMALL_ENGLISH | _set("""
    as but nor yet so if than into onto over under upon beyond beneath between among near off out
    per through till until up via within without about above across after against along around
    before behind below beside down during past since toward towards
    und oder aus auf bei fur im in am an mit nach ohne uber um unter von vom vor zu zum zur zwischen
    et ou a au aux avec chez dans de des du en entre par pour sans sous sur vers
    di del della dei degli delle da dal dalla e ed con per tra fra su y o el al por sin
    van voor met bij uit naar en op te
    """)
ARTICLES = _set(
    "the an a der die das dem den des ein eine einen einer le la les un une il lo gli i los las "
    "het een de"
)
# What stands before an apostrophe and is written small: d’Or, l’Amour, dell’Alba.
ELIDED = _set("d l dell all nell sull qu s t n o")

# Latin words that stand in names of irises and their colours, from memory.
LATIN = _set("""
    pallida variegata germanica florentina aphylla pumila lutescens reichenbachii sambucina squalens
    plicata albicans kashmeriana mesopotamica trojana cypriana imbricata attica suaveolens
    alba albus album nigra nigrum niger purpurea purpureus purpureum violacea violaceus violaceum
    caerulea coerulea caeruleus rosea roseus roseum lutea luteus luteum flava aurea aureus aureum
    rubra ruber rubrum cyanea azurea viridis grandiflora grandiflorus nana nanus nanum pulchra
    pulcher pulchrum pulchella elegans gracilis odorata odoratus odoratissima bicolor tricolor
    argentea candida nivea striata maculata marginata superba speciosa formosa gigantea minor major
    minima maxima praecox autumnalis semperflorens
    """)
LATIN_ENDINGS = (
    "us", "um", "ea", "ata", "ina", "osa", "ica", "ida", "alis", "aris", "ensis", "ilis", "oides",
    "iflora", "orum", "arum", "issima", "escens", "ula", "ella",
)  # fmt: skip

TITLES = _set("mr mrs miss ms")
GENUS_WORDS = _set("iris irises flag flags")
# Species of bearded irises, from memory.
SPECIES = _set("""
    pallida variegata germanica florentina aphylla pumila lutescens reichenbachii suaveolens
    attica albicans mesopotamica trojana cypriana kashmeriana imbricata junonia croatica
    """)
