"""Paper to hand over: the fit card, what a made pair would need, the letter to a maker."""

from heelball.show.lengths import Units
from heelball.show.paper.card import card_of
from heelball.show.paper.card_values import FitCard
from heelball.show.paper.fit_card import fit_card
from heelball.show.paper.made_pair import MadePairSheet, made_pair_of, made_pair_sheet
from heelball.show.paper.maker_letter import maker_letter
from heelball.show.paper.typesetting import PaperSize

__all__ = [
    "FitCard",
    "MadePairSheet",
    "PaperSize",
    "Units",
    "card_of",
    "fit_card",
    "made_pair_of",
    "made_pair_sheet",
    "maker_letter",
]
