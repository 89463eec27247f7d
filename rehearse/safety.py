"""The notice that stands on everything this tool says, prints or exports."""

NOTICE = (
    "Training aid only. The operator's approved manuals, the local authority's rules and "
    "qualified instructors prevail. rehearse never certifies anyone."
)

SPOKEN_NOTICE = (
    "This is a training aid. Your approved manuals, your authority's rules and your "
    "instructors prevail. It certifies no one."
)

_IN_OTHER_LANGUAGES = {
    "ko": "이것은 훈련 보조 도구입니다. 승인된 교범과 당국의 규정과 교관이 우선합니다. "
    "누구의 자격도 인정하지 않습니다.",
}


def spoken_notice(language: str) -> str:
    """The notice as it is said in a language (ISO 639-1); in English where there is no other."""
    return _IN_OTHER_LANGUAGES.get(language, SPOKEN_NOTICE)
