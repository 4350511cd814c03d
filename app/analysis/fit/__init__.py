"""One model of the class, run by run, and everything that is read from its posterior.

`model` holds the likelihood and the priors, `class_fit` the draws; the other files are weighted means and
quantiles of those draws, so that no two figures of a class can disagree.
"""
