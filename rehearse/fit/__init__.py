"""Fitting the step judges: labelled utterances, recogniser garbles, training, shrinking.

Nothing here is needed to rehearse. `python -m rehearse.fit` lists the stages.
"""
