"""Cluster-robust fits against the definition itself, worked with full matrices.

statsmodels has no CR2, so the oracle is the definition of Pustejovsky and Tipton (2018), section 2 and
equations (8) to (11), written with n × n matrices, `scipy.linalg` and no shortcut; it shares no line
with the module. A closed form and statsmodels' CR0 and CR1 stand beside it.
"""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.linalg import svd
from scipy.stats import t as student

from app.statistics.clustered import fit_clustered
from app.statistics.domain import OutsideDomain


def root_of_generalized_inverse(matrix):
    """M^(+1/2) of a symmetric M without negative eigenvalues, which may be singular.

    With M = U·S·Uᵀ the Moore–Penrose inverse inverts the singular values that are not zero, and its root
    takes their roots. A general square root of the inverse is not defined to exist where M is singular:
    `scipy.linalg.sqrtm` then warns or not by the last digits, which the processor's kernels decide.
    """
    u, singular, _ = svd(matrix)
    kept = singular > 1e-10 * singular[0]
    return (u[:, kept] / np.sqrt(singular[kept])) @ u[:, kept].T


def by_definition(x, y, labels, w, contrast):
    """Estimate, CR2 uncertainty and Satterthwaite dof from full matrices, working covariance W⁻¹."""
    n = len(y)
    weight = np.diag(w)
    working = np.diag(1 / w)
    bread = np.linalg.inv(x.T @ weight @ x)
    hat = x @ bread @ x.T @ weight
    left_over = np.eye(n) - hat
    residuals = left_over @ y
    spread = left_over @ working @ left_over.T
    total, vectors = 0.0, []
    for label in sorted(set(labels)):
        rows = [i for i in range(n) if labels[i] == label]
        # Adjustment: A_g = D' (D B_gg D')^(+1/2) D with D'D = Φ_g (upper Cholesky factor).
        factor = np.diag(np.sqrt(1 / w[rows]))
        middle = factor @ spread[np.ix_(rows, rows)] @ factor.T
        adjust = factor.T @ root_of_generalized_inverse(middle) @ factor
        load = adjust @ weight[np.ix_(rows, rows)] @ x[rows] @ bread @ contrast
        total += float(load @ residuals[rows]) ** 2
        vectors.append(left_over[rows].T @ load)
    table = np.array([[p @ working @ q for q in vectors] for p in vectors])
    dof = np.trace(table) ** 2 / np.sum(table * table)
    return float(contrast @ bread @ x.T @ weight @ y), np.sqrt(total), dof


def scaled_by_definition(x, y, labels, w, contrast):
    """The same from full matrices for the √w-scaled model, whose working covariance is the identity."""
    root = np.sqrt(w)
    return by_definition(x * root[:, None], y * root, labels, np.ones(len(y)), contrast)


def a_class(seed, sizes, p=2):
    rng = np.random.default_rng(seed)
    labels = np.repeat(np.arange(len(sizes)), sizes)
    masses = np.linspace(0.24, 0.88, len(sizes))[labels]
    x = np.column_stack([np.ones(len(labels)), 1 / masses, rng.normal(size=len(labels))][:p])
    bench = rng.normal(0, 3, len(sizes))[labels]
    y = x @ np.array([128.0, 45.0, 2.0][:p]) + bench + rng.normal(0, 2, len(labels))
    return x, y, labels.tolist(), rng.uniform(0.5, 3.0, len(sizes))[labels]


def test_the_definition_can_be_worked_where_a_bench_alone_fixes_a_coefficient():
    """The matrix is singular then, exactly or in all but its last digits. The roots by hand: 9 and 4 on
    (1, 1)/√2 and (1, −1)/√2 give 1/3 and 1/2 there; 4 and 0 give 1/2 and nothing."""
    whole, half_of_it, last_digits = (
        [[6.5, 2.5], [2.5, 6.5]],
        [[2.0, 2.0], [2.0, 2.0]],
        [[4.0, 0], [0, 1e-17]],
    )
    assert root_of_generalized_inverse(np.array(whole)) == pytest.approx(
        np.array([[5.0, -1.0], [-1.0, 5.0]]) / 12
    )
    assert root_of_generalized_inverse(np.array(half_of_it)) == pytest.approx(np.full((2, 2), 0.25))
    assert root_of_generalized_inverse(np.array(last_digits)) == pytest.approx(np.diag([0.5, 0.0]))


@pytest.mark.parametrize("varying", [False, True])
@pytest.mark.parametrize("p", [1, 2, 3])
@pytest.mark.parametrize("sizes", [[3] * 8, [1, 2, 3, 4, 5, 6], [3, 3, 3, 3], [1] * 7, [9, 1, 2, 4]])
def test_uncertainty_and_degrees_of_freedom_follow_the_definition(sizes, p, varying):
    x, y, labels, w = a_class(7, sizes, p)
    definition = by_definition
    if varying:
        # With weights that differ inside a cluster the published root is not the only one that makes
        # the variance unbiased: the module takes the symmetric one of the scaled model.
        w = w * np.random.default_rng(9).uniform(0.5, 2.0, len(w))
        definition = scaled_by_definition
    fit = fit_clustered(x, y, labels, w)
    for contrast in (*np.eye(p), np.linspace(1, 2, p)):
        found = fit.contrast(contrast)
        estimate, u, dof = definition(x, y, labels, w, contrast)
        assert found.estimate == pytest.approx(estimate, rel=1e-9)
        assert found.u == pytest.approx(u, rel=1e-7)
        assert found.dof == pytest.approx(dof, rel=1e-6)
        half = student.ppf(0.975, dof) * u
        assert found.interval_95 == pytest.approx((estimate - half, estimate + half), rel=1e-6)


def test_a_bench_that_alone_fixes_a_coefficient_still_gives_the_defined_answer():
    """The generalized inverse: one column is nonzero in one cluster only."""
    x, y, labels, w = a_class(3, [3] * 6)
    x = np.column_stack([x, [float(label == 2) for label in labels]])
    fit = fit_clustered(x, y, labels, w)
    for contrast in np.eye(3)[:2]:
        found = fit.contrast(contrast)
        estimate, u, dof = by_definition(x, y, labels, w, contrast)
        assert (found.estimate, found.u) == pytest.approx((estimate, u), rel=1e-6)
        assert found.dof == pytest.approx(dof, rel=1e-5)


def test_the_mean_of_equal_clusters_is_student_s_interval_of_their_means():
    """Closed form: with one constant and clusters of equal size, CR2 is s²/G and dof = G − 1 exactly."""
    rng = np.random.default_rng(5)
    groups = rng.normal(130, 10, (7, 3))
    fit = fit_clustered(np.ones((21, 1)), groups.ravel(), np.repeat(np.arange(7), 3).tolist())
    means = groups.mean(axis=1)
    found = fit.coefficient(0)
    assert found.estimate == pytest.approx(groups.mean(), rel=1e-12)
    assert found.u == pytest.approx(means.std(ddof=1) / np.sqrt(7), rel=1e-12)
    assert found.dof == pytest.approx(6, rel=1e-12)


def test_the_covariance_lies_near_the_uncorrected_one_of_statsmodels():
    """CR0 and CR1 by statsmodels: CR2 is larger than CR0, and the model covariance is the same."""
    x, y, labels, w = a_class(11, [3] * 12)
    fit = fit_clustered(x, y, labels, w)
    ordinary = sm.WLS(y, x, weights=w).fit(
        cov_type="cluster", cov_kwds={"groups": np.array(labels), "use_correction": False}
    )
    assert fit.coefficients == pytest.approx(ordinary.params, rel=1e-10)
    assert fit.model_covariance == pytest.approx(np.asarray(ordinary.normalized_cov_params), rel=1e-9)
    ratio = np.diag(fit.covariance) / np.diag(ordinary.cov_params())
    assert np.all(ratio > 1.0)
    assert np.all(ratio < 1.6)


def test_the_variance_is_unbiased_where_the_working_model_is_true():
    """The defining property of CR2: over many draws its mean is the true variance, even at 5 clusters."""
    rng = np.random.default_rng(2)
    x, _, labels, _ = a_class(1, [1, 2, 3, 4, 6])
    true = np.linalg.inv(x.T @ x)
    seen = np.mean(
        [np.diag(fit_clustered(x, rng.normal(size=16), labels).covariance) for _ in range(4000)], axis=0
    )
    # Relative scatter of the mean of 4000 draws is about √(2/dof/4000), 2 % for 2 degrees of freedom.
    assert seen == pytest.approx(np.diag(true), rel=0.08)


def test_neither_labels_nor_order_nor_units_change_the_answer():
    x, y, labels, w = a_class(4, [2, 3, 3, 4, 1, 3])
    first = fit_clustered(x, y, labels, w).contrast([1.0, 2.0])
    order = np.random.default_rng(0).permutation(len(y))
    shuffled = fit_clustered(x[order], y[order], [f"bench {labels[i]}" for i in order], w[order] * 1e-6)
    again = shuffled.contrast([1.0, 2.0])
    assert (again.estimate, again.u, again.dof) == pytest.approx(
        (first.estimate, first.u, first.dof), rel=1e-9
    )
    scaled = fit_clustered(x * [1.0, 1e-3], y * 1e3, labels, w).contrast([1.0, 2e-3])
    assert (scaled.estimate, scaled.u) == pytest.approx((first.estimate * 1e3, first.u * 1e3), rel=1e-9)
    assert scaled.dof == pytest.approx(first.dof, rel=1e-9)


@pytest.mark.parametrize(
    ("x", "labels"),
    [
        (np.ones((4, 1)), [1, 1, 1, 1]),
        (np.zeros((4, 1)), [1, 2, 3, 4]),
        (np.column_stack([np.ones(4), np.full(4, 2.0)]), [1, 2, 3, 4]),
        (np.full((4, 1), np.nan), [1, 2, 3, 4]),
        (np.ones((3, 1)), [1, 2, 3]),
    ],
)
def test_what_cannot_be_fitted_is_a_named_error(x, labels):
    with pytest.raises(OutsideDomain):
        fit_clustered(x, [1.0, 2.0, 3.0, 4.0], labels)
