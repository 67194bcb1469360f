# SPDX-License-Identifier: GPL-3.0-or-later
# Agreement figures of sets of pairs, written from the papers and from R's own functions: key <TAB> value, 17 digits.
# Rscript reference.R SETS.tsv   lines of `set scheme subject a b a b` (a measurer, b listener; systolic, diastolic; thousandths)
# A key is set/side/figure/part. NA: there is no such value, the program must say that it lacks. No key: neither is asked for.
suppressMessages(library(psych))

pending <- vector("list", 200000)
count <- 0
put <- function(set, side, figure, value, low = NULL, high = NULL) {
  parts <- list(value = value, low = low, high = high)
  for (part in names(parts)) if (!is.null(parts[[part]])) {
    v <- as.numeric(parts[[part]])
    count <<- count + 1
    pending[[count]] <<- sprintf("%s/%s/%s/%s\t%s", set, side, figure, part, if (is.finite(v)) sprintf("%.17g", v) else "NA")
  }
}

z <- qnorm(.975)
worst <- c("psych" = 0, "psych-sets" = 0, "qt-few" = 0, "qt-many" = 0, "psych-kappa" = 0, "cor-test" = 0)
note <- function(name, got, want, floor = 1e-3) {
  off <- abs(got - want) / pmax(abs(want), floor)
  worst[name] <<- max(worst[name], off[is.finite(off)])
}

# ---- non-central t by its definition: (Z + ncp) / U, U^2 a chi-square over its df ----
# R's pt leaves the series for a normal approximation where ncp^2 > 2 log(2) 1021, which is n > 368 here; so its qt is no
# reference there. Integrated over U it is good for all n; Newton's steps then invert it.
# One integral each side of where the integrand turns, so that no peak is missed.
over_u <- function(f, df, turn) {
  ends <- sqrt(c(qchisq(1e-20, df), qchisq(1e-20, df, lower.tail = FALSE)) / df)
  cuts <- sort(unique(c(ends, pmin(pmax(c(turn, 1, qchisq(c(.001, .05, .5, .95, .999), df) / df), ends[1]), ends[2]))))
  g <- function(u) f(u) * exp(log(2 * u * df) + dchisq(df * u^2, df, log = TRUE))
  sum(mapply(function(from, to) integrate(g, from, to, rel.tol = 1e-13, abs.tol = 1e-18, subdivisions = 500L,
                                          stop.on.error = FALSE)$value, head(cuts, -1), tail(cuts, -1)))
}
noncentral_t <- function(p, df, ncp) {
  t <- suppressWarnings(qt(p, df, ncp = ncp))
  for (i in 1:50) {
    step <- (over_u(function(u) pnorm(t * u - ncp), df, ncp / t) - p) / over_u(function(u) u * dnorm(t * u - ncp), df, ncp / t)
    t <- t - step
    if (abs(step) < 1e-14 * t) break
  }
  t
}
known_t <- list()
exact_t <- function(n) {
  key <- as.character(n)
  if (is.null(known_t[[key]])) {
    t <- sapply(c(.025, .975), noncentral_t, df = n - 1, ncp = z * sqrt(n))
    note(if (n <= 368) "qt-few" else "qt-many", suppressWarnings(qt(c(.025, .975), n - 1, ncp = z * sqrt(n))), t)
    known_t[[key]] <<- t / sqrt(n)
  }
  known_t[[key]]
}

# ---- one side ----
share <- function(set, side, figure, x, n) {
  if (n < 1) return(put(set, side, figure, NA))
  put(set, side, figure, x / n, binom.test(x, n)$conf.int[1], binom.test(x, n)$conf.int[2])
}

limits <- function(set, side, d) {
  n <- length(d); m <- sum(d) / n / 1000
  put(set, side, "bias", m)
  if (n < 2) return(invisible())
  s <- sd(d) / 1000
  put(set, side, "sd", s)
  if (s == 0) return(for (figure in c("lower", "upper", "lower-approx", "upper-approx")) put(set, side, figure, NA))
  t <- qt(.975, n - 1)
  put(set, side, "bias", m, m - t * s / sqrt(n), m + t * s / sqrt(n))
  put(set, side, "sd", s, s * sqrt((n - 1) / qchisq(.975, n - 1)), s * sqrt((n - 1) / qchisq(.025, n - 1)))
  e <- exact_t(n)
  put(set, side, "lower", m - z * s, m - s * e[2], m - s * e[1])
  put(set, side, "upper", m + z * s, m + s * e[1], m + s * e[2])
  se <- s * sqrt(1 / n + z^2 / (2 * (n - 1)))
  put(set, side, "lower-approx", m - z * s, m - z * s - t * se, m - z * s + t * se)
  put(set, side, "upper-approx", m + z * s, m + z * s - t * se, m + z * s + t * se)
}

# The limits of agreement about m; without any spread they are no limits.
about <- function(set, side, how, m, s) {
  put(set, side, paste0("sd-", how), s / 1000)
  put(set, side, paste0("lower-", how), if (s > 0) (m - z * s) / 1000 else NA)
  put(set, side, paste0("upper-", how), if (s > 0) (m + z * s) / 1000 else NA)
}

# Bland and Altman 1999, 5.2 and 5.3; values in thousandths about a common whole number: equal ones stay equal.
replicates <- function(set, side, a, b, subject) {
  d <- a - b; size <- tapply(d, subject, length); cells <- length(size); df <- length(d) - cells
  within <- function(x) sum((x - ave(x, subject))^2)
  mean_d <- tapply(d, subject, mean); m <- mean(d)
  figures <- c("sd", "lower", "upper")
  if (df > 0) for (ear in c("measurer", "listener")) {
    s <- sqrt(within(if (ear == "measurer") a else b) / df) / 1000
    if (s > 0) put(set, side, paste0("repeat-", ear), s, s * sqrt(df / qchisq(.975, df)), s * sqrt(df / qchisq(.025, df)))
    else put(set, side, paste0("repeat-", ear), 0)
  } else for (ear in c("measurer", "listener")) put(set, side, paste0("repeat-", ear), NA)
  if (cells > 1) {
    put(set, side, "criterion-2-sd", sd(mean_d) / 1000)
    mean <- mean(mean_d) / 1000
    if (abs(mean) < 10)
      put(set, side, "criterion-2-limit", uniroot(function(s) pnorm(10, mean, s) - pnorm(-10, mean, s) - .85,
                                                  c(1e-4, 20), tol = 1e-14)$root)
  }
  if (df < 1 || cells < 2) {
    for (figure in figures) for (how in c("linked", "apart")) put(set, side, paste0(figure, "-", how), NA)
    return(invisible())
  }
  msw <- within(d) / df
  msb <- sum(size * (mean_d - m)^2) / (cells - 1)
  m0 <- (length(d) - sum(size^2) / length(d)) / (cells - 1)
  about(set, side, "linked", m, sqrt(msw + max(0, (msb - msw) / m0)))
  about(set, side, "apart", mean(mean_d), sqrt(var(mean_d) + (1 - mean(1 / size)) * (within(a) + within(b)) / df))
}

# Shrout and Fleiss 1979 from the mean squares, as psych::ICC has them.
icc_of_squares <- function(n, bms, wms, jms, ems) {
  k <- 2
  v <- c((bms - wms) / (bms + (k - 1) * wms), (bms - ems) / (bms + (k - 1) * ems + k * (jms - ems) / n),
         (bms - ems) / (bms + (k - 1) * ems), (bms - wms) / bms, (bms - ems) / (bms + (jms - ems) / n), (bms - ems) / bms)
  f1 <- bms / wms; l1 <- f1 / qf(.975, n - 1, n * (k - 1)); u1 <- f1 * qf(.975, n * (k - 1), n - 1)
  f3 <- bms / ems; df3 <- (n - 1) * (k - 1); l3 <- f3 / qf(.975, n - 1, df3); u3 <- f3 * qf(.975, df3, n - 1)
  fj <- jms / ems; r <- v[2]
  x <- k * r * fj + n * (1 + (k - 1) * r) - k * r
  nu <- (k - 1) * (n - 1) * x^2 / ((n - 1) * k^2 * r^2 * fj^2 + (n * (1 + (k - 1) * r) - k * r)^2)
  up <- qf(.975, n - 1, nu); lo <- qf(.975, nu, n - 1)
  l2 <- n * (bms - up * ems) / (up * (k * jms + (k * n - k - n) * ems) + n * bms)
  u2 <- n * (lo * bms - ems) / (k * jms + (k * n - k - n) * ems + n * lo * bms)
  # With hardly a degree of freedom qf leaves what a double holds: no limits. The mean's limits are k L / (1 + L (k - 1)),
  # which has a pole at L = -1 / (k - 1): beyond it they are no limits either, nor is there a mean's ICC over a denominator
  # that noise takes below 0.
  if (!is.nan(nu) && nu < .05) l2 <- u2 <- NaN
  p2 <- c(l2, u2); p2[p2 <= -1 / (k - 1)] <- NaN; p2 <- p2 + 0 * sum(p2)
  if (bms + (jms - ems) / n <= 0) v[5] <- NaN
  if (bms + (k - 1) * ems + k * (jms - ems) / n <= 0) v[c(2, 5)] <- NaN
  cbind(v, c((l1 - 1) / (l1 + k - 1), l2, (l3 - 1) / (l3 + k - 1), 1 - 1 / l1, p2[1] * k / (1 + p2[1] * (k - 1)), 1 - 1 / l3),
        c((u1 - 1) / (u1 + k - 1), u2, (u3 - 1) / (u3 + k - 1), 1 - 1 / u1, p2[2] * k / (1 + p2[2] * (k - 1)), 1 - 1 / u3))
}

# psych's own analysis of variance takes the small residual from large sums: its figures are the reference where the mean
# squares lie within a million times of each other; elsewhere those of differences and sums, in which nothing cancels.
icc <- function(set, side, a, b) {
  n <- length(a); d <- a - b; s <- a + b
  if (n < 2) return(invisible())
  bms <- sum((s - mean(s))^2) / 2 / (n - 1); ems <- sum((d - mean(d))^2) / 2 / (n - 1)
  jms <- n * mean(d)^2 / 2; wms <- sum(d^2) / 2 / n
  names <- c("icc-1-1", "icc-2-1", "icc-3-1", "icc-1-k", "icc-2-k", "icc-3-k")
  r <- suppressWarnings(icc_of_squares(n, bms, wms, jms, ems))
  if (ems > 0 && bms > 0 && max(bms, jms) / min(bms, ems) < 1e6) {
    p <- suppressWarnings(suppressMessages(ICC(cbind(a, b), lmer = FALSE)))$results
    p <- as.matrix(p[, c("ICC", "lower bound", "upper bound")])
    note("psych", p, r); worst["psych-sets"] <<- worst["psych-sets"] + 1
    r <- p + 0 * r # what has no ground above has none here
  }
  r[is.nan(r[, 1]), ] <- NaN
  for (i in 1:6) {
    # Two listeners who never move say nothing of subjects.
    if (all(a == a[1]) && all(b == b[1])) put(set, side, names[i], NA)
    # Without spread in the sums or in the differences it has a value, and what limits it might have is left open.
    else if (bms == 0 || ems == 0) put(set, side, names[i], r[i, 1])
    else put(set, side, names[i], r[i, 1], r[i, 2], r[i, 3])
  }
}

# Lin 1989 with the correction of 2000, every difference of near things taken of the data: 1 - r_c is mean(d^2) over the
# denominator, and r_c / r is the bias correction factor.
concordance <- function(set, side, a, b) {
  n <- length(a); d <- a - b
  if (n < 2) return(put(set, side, "correlation", NA))
  x <- a - mean(a); y <- b - mean(b); saa <- mean(x^2); sbb <- mean(y^2); sab <- mean(x * y)
  below <- saa + sbb + mean(d)^2
  if (saa == 0 || sbb == 0) {
    put(set, side, "correlation", NA)
    return(invisible())
  }
  rc <- 2 * sab / below; one_less <- mean(d^2) / below
  r <- cor(a, b); cb <- 2 * sqrt(saa * sbb) / below; u2 <- mean(d)^2 / sqrt(saa * sbb)
  put(set, side, "concordance", rc)
  # 1 - r^2 as what a straight line leaves of b, by way of the differences, which are small where it is
  e <- d - mean(d)
  left <- mean((x * sum(x * e) / sum(x^2) - e)^2) / sbb
  if (n > 2 && one_less > 0 && left > 0) {
    square <- one_less * (1 + rc)
    var <- (left * cb^2 / square + 2 * rc^2 * cb * one_less * u2 / square^2 - rc^2 * cb^2 * u2^2 / (2 * square^2)) / (n - 2)
    at <- (log1p(rc) - log(one_less)) / 2
    put(set, side, "concordance", rc, tanh(at - z * sqrt(var)), tanh(at + z * sqrt(var)))
  }
  put(set, side, "correlation", r)
  if (n > 3 && left > 1e-15) {
    # cor.test has atanh(r), in which 1 - r is gone by half where r is near 1
    at <- sign(r) * log((1 + abs(r))^2 / left) / 2
    ci <- tanh(at + c(-z, z) / sqrt(n - 3))
    note("cor-test", cor.test(a, b)$conf.int[1:2], ci)
    put(set, side, "correlation", r, ci[1], ci[2])
  }
}

digits <- function(set, side, a) {
  whole <- a %% 1000 == 0; digit <- abs(a[whole] / 1000) %% 10
  even <- sapply(c(0, 2, 4, 6, 8), function(x) sum(digit == x)); n <- sum(even)
  if (n >= 25) {
    x <- chisq.test(even)
    put(set, side, "digit-chi", x$statistic); put(set, side, "digit-p", x$p.value)
    put(set, side, "zero-p", binom.test(even[1], n, .2, alternative = "greater")$p.value)
  } else for (figure in c("digit-chi", "digit-p")) put(set, side, figure, NA)
  share(set, side, "zero", even[1], n)
  share(set, side, "odd", sum(digit %% 2 == 1), length(digit))
}

greater <- function(set, side, figure, x, n)
  if (n > 0) put(set, side, figure, binom.test(x, n, .5, alternative = "greater")$p.value)

repeats <- function(set, side, a, b, subject) {
  again <- duplicated(subject)
  before <- ave(seq_along(subject), subject, FUN = function(i) c(NA, head(i, -1)))
  last <- function(x) x[before]
  same_a <- (a == last(a))[again]; same_b <- (b == last(b))[again]
  share(set, side, "identical", sum(same_a), sum(again))
  share(set, side, "identical-listener", sum(same_b), sum(again))
  greater(set, side, "identical-p", sum(same_a & !same_b), sum(same_a != same_b))
}

LADDERS <- list(list(c(0, 120, 130, 140), c(0, NA, 80, 90)),
                list(c(0, 120, 130, 140, 160, 180), c(0, 80, 85, 90, 100, 110)))

boundaries <- function(set, side, a, bounds) {
  bounds <- 1000 * bounds[!is.na(bounds) & bounds > 0]
  below <- sum(outer(a, bounds, function(x, y) x >= y - 2000 & x < y))
  from <- sum(outer(a, bounds, function(x, y) x >= y & x < y + 2000))
  share(set, side, "below", below, below + from)
  greater(set, side, "below-p", below, below + from)
}

# Fleiss, Cohen and Everitt 1969; the sum of squares is taken about its mean, which is the term that they subtract.
kappas <- function(set, scheme, v) {
  names <- c("kappa", "kappa-linear", "kappa-quadratic")
  if (scheme < 0) return(for (figure in names) put(set, "joint", figure, NA))
  l <- LADDERS[[scheme + 1]]; k <- length(l[[1]])
  from <- function(x, bounds) outer(x, 1000 * bounds, function(x, y) !is.na(y) & x >= y)
  band <- function(s, d) apply(from(s, l[[1]]) | from(d, l[[2]]), 1, function(x) max(1, which(x)))
  tab <- unclass(table(factor(band(v$a1, v$a2), 1:k), factor(band(v$b1, v$b2), 1:k)))
  off <- abs(row(tab) - col(tab)) / (k - 1)
  for (i in 1:3) {
    w <- list(diag(k), 1 - off, 1 - off^2)[[i]]
    p <- tab / sum(tab); r <- rowSums(p); s <- colSums(p)
    po <- sum(w * p); pe <- sum(w * outer(r, s)); wi <- as.vector(w %*% s); wj <- as.vector(r %*% w)
    if (sum(r > 0) == 1 && sum(s > 0) == 1) { put(set, "joint", names[i], NA); next }
    kappa <- (po - pe) / (1 - pe)
    x <- w * (1 - pe) - outer(wi, wj, "+") * (1 - po)
    se <- sqrt(sum(p * (x - sum(p * x))^2) / sum(tab)) / (1 - pe)^2
    # One listener in one category makes it 0, no difference at all makes it 1, each in the other's place makes it -1, and the
    # variance 0: that is no interval.
    # Limits end at -1 and 1, as psych has it.
    if (sum(r > 0) == 1 || sum(s > 0) == 1 || all(tab[off > 0] == 0) || se * sqrt(sum(tab)) < 1e-10) put(set, "joint", names[i], kappa, NA, NA)
    else put(set, "joint", names[i], kappa, max(-1, kappa - z * se), min(1, kappa + z * se))
    q <- suppressMessages(suppressWarnings(cohen.kappa(tab, w = if (i == 2) w)))
    note("psych-kappa", if (i == 1) q$kappa else q$weighted.kappa, kappa)
  }
}

# Biau and Porcher 2010 until the signal, then a CUSUM of the same ratio the other way round.
learning <- function(set, right) {
  p0 <- .10; p1 <- .25; h <- 0; reached <- 0; lost <- 0
  up <- log((1 - p0) / (1 - p1)); down <- log(p1 / p0)
  for (i in seq_along(right)) {
    h <- max(0, h + if (reached == 0) (if (right[i]) up else -down) else (if (right[i]) -up else down))
    if (reached == 0 && h >= 1.25) { reached <- i; h <- 0 }
    else if (reached > 0 && h >= 2) { reached <- 0; lost <- i; h <- 0 }
  }
  put(set, "joint", "height", h); put(set, "joint", "reached", reached); put(set, "joint", "lost", lost)
}

v <- read.table(commandArgs(TRUE)[1], colClasses = "numeric", col.names = c("set", "scheme", "subject", "a1", "b1", "a2", "b2"))
for (of_set in split(v, v$set)) {
  set <- of_set$set[1]; scheme <- of_set$scheme[1]; n <- nrow(of_set)
  for (i in 1:2) {
    side <- c("systolic", "diastolic")[i]; a <- of_set[[c("a1", "a2")[i]]]; b <- of_set[[c("b1", "b2")[i]]]
    # Whole thousandths are exact in doubles, and so they are less a whole number: no digit is lost to an offset.
    middle <- round(mean(c(a, b))); x <- a - middle; y <- b - middle
    limits(set, side, a - b)
    replicates(set, side, x, y, of_set$subject)
    for (near in c(5, 10, 15)) share(set, side, paste0("near-", near), sum(abs(a - b) <= 1000 * near), n)
    icc(set, side, x, y)
    concordance(set, side, x, y)
    digits(set, side, a)
    repeats(set, side, a, b, of_set$subject)
    if (scheme >= 0) boundaries(set, side, a, LADDERS[[scheme + 1]][[i]])
    else put(set, side, "below", NA)
  }
  right <- abs(of_set$a1 - of_set$b1) <= 5000 & abs(of_set$a2 - of_set$b2) <= 5000
  share(set, "joint", "right", sum(right), n)
  kappas(set, scheme, of_set)
  learning(set, right)
}
for (name in names(worst)) put("check", "all", name, worst[[name]])
writeLines(unlist(pending[seq_len(count)]))
