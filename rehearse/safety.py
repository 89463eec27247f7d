"""The notice that stands on everything this tool says, prints or exports."""

NOTICE = (
    "Training aid only. The operator's approved manuals, the local authority's rules and "
    "qualified instructors prevail. rehearse never certifies anyone."
)

SPOKEN_NOTICE = (
    "This is a training aid. Your approved manuals, your authority's rules and your "
    "instructors prevail. It certifies no one."
)
