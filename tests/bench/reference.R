# The reference job in R: read, compute, per-mix table, random-batch fits of log strength and density on the fraction of
# each aggregate, assured values of the next batch of 3, lightest fraction that meets both demands.
#   Rscript reference.R SPECIMENS.csv mixed|least-squares
suppressPackageStartupMessages(library(data.table))
arguments <- commandArgs(TRUE)
mixed <- arguments[2] == "mixed"
if (mixed) suppressPackageStartupMessages(library(lme4))
target <- log(12)
limit <- 1900

d <- fread(arguments[1])
d[, density := mass_g / 1000 / (length_mm / 1000)^3]
d[, strength := break_load_kN * 1000 / length_mm^2]
print(d[, .(n = .N, density = mean(density), sd = sd(density), strength = mean(strength), sd_strength = sd(strength)), by = mix])

# Mean and margin of the next batch of 3 at the points of x, one-sided 95 %.
assured <- function(rows, y, x, side) {
  frame <- data.frame(y = y, x = rows$aggregate_fraction, batch = rows$batch)
  terms <- cbind(1, x, x^2)
  if (mixed) {
    fit <- lmer(y ~ x + I(x^2) + (1 | batch), frame)
    var_batch <- as.numeric(VarCorr(fit)$batch)
    spread <- rowSums((terms %*% as.matrix(vcov(fit))) * terms) + var_batch + sigma(fit)^2 / 3
    df <- length(unique(rows$batch)) - 3
    centre <- terms %*% fixef(fit)
  } else {
    fit <- lm(y ~ x + I(x^2), frame)
    spread <- rowSums((terms %*% vcov(fit)) * terms) + sigma(fit)^2
    df <- fit$df.residual
    centre <- terms %*% coef(fit)
  }
  as.vector(centre + side * qt(0.95, df) * sqrt(spread))
}

best <- NULL
for (name in setdiff(unique(d$aggregate), "gravel")) {
  rows <- d[aggregate == name]
  x <- seq(min(rows$aggregate_fraction), max(rows$aggregate_fraction), length.out = 401)
  met <- assured(rows, log(rows$strength), x, -1) >= target & assured(rows, rows$density, x, 1) <= limit
  if (any(met)) cat(name, "at", max(x[met]), "\n")
}
