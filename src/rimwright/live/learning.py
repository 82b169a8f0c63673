from rimwright.bending.heat_parameters import DEFAULT_HEAT


def known_of(journal, plan):
    return DEFAULT_HEAT


def keep_learnt(journal, session):
    pass
