"""Names in every script that the bundled faces write, and text that means no good."""

NAMES = {
    "european": "Ελένη Юля",
    "armenian": "Անահիտ",
    "hebrew": "נועה לוי",
    "arabic": "محمد الأمين",
    "thaana": "ދިވެހި",
    "devanagari": "प्रिया शर्मा",
    "bengali": "সৌরভ",
    "gurmukhi": "ਗੁਰਪ੍ਰੀਤ",
    "gujarati": "ગુજરાતી",
    "odia": "ଓଡ଼ିଆ",
    "tamil": "தமிழ்",
    "telugu": "తెలుగు",
    "kannada": "ಕನ್ನಡ",
    "malayalam": "മലയാളം",
    "sinhala": "සිංහල",
    "thai": "สมชาย ใจดี",
    "lao": "ລາວ",
    "myanmar": "မြန်မာ",
    "georgian": "მარიამ",
    "east-asian": "李明 さく 김",
    "ethiopic": "ኣበበ",
    "khmer": "ខ្មែរ",
}
"""Given names and names of languages, as their writers spell them (common knowledge)."""

FROM_RIGHT = {"hebrew", "arabic", "thaana"}

STACKED = (
    "ก" + "\u0e49" * 20,
    "ກ" + "\u0ec9" * 12,
    "\u0628" + "\u064e\u0651\u0670" * 9,
    "\u0627" + "\u0653" * 15,
    "ក" + "\u17d2ក" * 9,
    "က" + "\u1039က" * 9,
    "\u0430" + "\u0301\u0308" * 9,
    "e" + "\u0323\u0301" * 12,
)
"""Letters under heaps of marks, which climb over other lines where nobody stops them."""
