# What `refits` does, in R: 10,000 times the batches of each mix are drawn again, the curves of log strength and of density
# refitted to the batch means with the variances kept, and the largest fraction looked for at which both demands are met.
#   Rscript refits.R SPECIMENS.csv
suppressPackageStartupMessages(library(lme4))
d <- read.csv(commandArgs(TRUE)[1])
d <- d[d$aggregate == "expanded clay" & !is.na(d$density_kg_m3), ]
set.seed(1)

prepare <- function(d, y, side) {
  d <- data.frame(y = y, x = d$aggregate_fraction, batch = d$batch, mix = d$mix)
  d <- d[!is.na(d$y), ]
  fit <- lmer(y ~ x + I(x^2) + (1 | batch), d)
  var_batch <- as.numeric(VarCorr(fit)$batch)
  means <- aggregate(y ~ batch + mix + x, d, mean)
  n <- table(d$batch)[means$batch]
  x <- seq(min(d$x), max(d$x), length.out = 129)
  ladder <- cbind(1, x, x^2)
  spread <- rowSums((ladder %*% as.matrix(vcov(fit))) * ladder) + var_batch + sigma(fit)^2 / 3
  list(y = means$y, terms = cbind(1, means$x, means$x^2), weight = as.vector(1 / (var_batch + sigma(fit)^2 / n)),
       ladder = ladder, distance = side * qt(0.95, nrow(means) - 3) * sqrt(spread), mix = means$mix, x = x)
}
strength <- prepare(d, log(d$compressive_strength_mpa), -1)
density <- prepare(d, d$density_kg_m3, 1)
strata <- split(seq_along(strength$y), strength$mix)

refit <- function(curve, rows) lm.wfit(curve$terms[rows, ], curve$y[rows], curve$weight[rows])$coefficients
along <- function(curve, b) as.vector(curve$ladder %*% b) + curve$distance

fractions <- numeric(10000)
for (i in seq_along(fractions)) {
  rows <- unlist(lapply(strata, function(s) s[sample.int(length(s), replace = TRUE)]), use.names = FALSE)
  b <- refit(strength, rows)
  met <- which(along(strength, b) >= log(12) & along(density, refit(density, rows)) <= 1875)
  fractions[i] <- NA
  if (length(met) == 0) next
  last <- max(met)
  fractions[i] <- strength$x[last]
  if (last < 129) { # between the last rung that is met and the next
    below <- along(strength, b)[last] - log(12)
    above <- along(strength, b)[last + 1] - log(12)
    fractions[i] <- fractions[i] + (strength$x[2] - strength$x[1]) * below / (below - above)
  }
}
print(quantile(fractions, c(0.025, 0.975), na.rm = TRUE))
