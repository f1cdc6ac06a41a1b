# Comparisons of mixes, ratios, parallel lines and pass-or-fail trials.
source("tests/crosscheck/common.R")

units <- c(density = "density_kg_m3", compressive_strength = "compressive_strength_mpa", flexural_strength = "flexural_strength_mpa",
           absorption = "absorption_pct")

# ---- all pairs with unequal scatter, from the definition ----

games_howell <- function(a, b, k, confidence) {
    va <- var(a) / length(a); vb <- var(b) / length(b)
    df <- (va + vb)^2 / (va^2 / (length(a) - 1) + vb^2 / (length(b) - 1))
    d <- mean(a) - mean(b); se <- sqrt((va + vb) / 2)
    q <- uniroot(function(q) ptukey(q, k, df) - confidence, c(0.1, 200), tol = 1e-12)$root # qtukey stops at four digits
    list(p = ptukey(abs(d) / se, k, df, lower.tail = FALSE), reach = q * se, difference = d)
}

check_pairs <- function(case, pairs, method, means, confidence) {
    model <- aov(y ~ mix, means)
    tukey <- TukeyHSD(model, conf.level = confidence)$mix
    for (pair in pairs) {
        if (method$pairs == "Games-Howell") {
            want <- games_howell(means$y[means$mix == pair$a], means$y[means$mix == pair$b], nlevels(means$mix), confidence)
            row <- c(want$difference, want$difference - want$reach, want$difference + want$reach, want$p)
        } else {
            name <- paste(pair$a, pair$b, sep = "-"); turned <- paste(pair$b, pair$a, sep = "-")
            row <- if (name %in% rownames(tukey)) tukey[name, ] else tukey[turned, c(1, 3, 2, 4)] * c(-1, -1, -1, 1)
        }
        bar <- if (method$pairs == "Games-Howell") 3.5 else 5 # ptukey is coarse at few degrees of freedom; SciPy checks the rest
        tell(case, paste(method$pairs, "p", pair$a, pair$b), pair$p_adjusted, row[4], bar, TRUE)
        if (!method$log_scale) {
            tell(case, paste(method$pairs, "difference", pair$a, pair$b), pair$difference, row[1], 8)
            tell(case, paste(method$pairs, "half width", pair$a, pair$b), pair$upper - pair$lower, row[3] - row[2], bar)
        }
    }
}

check_against <- function(case, pairs, method, means, reference, confidence) {
    means$mix <- relevel(means$mix, reference)
    model <- glht(aov(y ~ mix, means), mcp(mix = "Dunnett"))
    set.seed(1)
    p <- summary(model, test = adjusted("single-step", abseps = 1e-5, maxpts = 1e5))$test$pvalues
    names(p) <- sub(paste0(" - ", reference), "", names(coef(model)), fixed = TRUE)
    for (pair in pairs) {
        if (method$against_reference == "Dunnett") {
            tell(case, paste("Dunnett p", pair$a), pair$p_adjusted, p[[pair$a]], 3.5, TRUE)
            next
        }
        k <- length(pairs)
        test <- t.test(means$y[means$mix == pair$a], means$y[means$mix == reference], conf.level = 1 - (1 - confidence) / k)
        tell(case, paste("Welch p", pair$a), pair$p_adjusted, min(1, k * test$p.value), 9, TRUE)
        if (!method$log_scale) tell(case, paste("Welch lower", pair$a), pair$lower, test$conf.int[1], 8)
    }
}

check_tests <- function(case, method, means) {
    f <- anova(aov(y ~ mix, means))
    tell(case, "F", method$equal_means$f, f[1, 4], 8)
    tell(case, "F p", method$equal_means$p, f[1, 5], 8, TRUE)
    several <- droplevels(means[means$mix %in% names(which(table(means$mix) >= 2)), ])
    if (!is.null(method$equal_spread$bartlett_p)) # on the scale that the choice began with
        tell(case, "Bartlett p", method$equal_spread$bartlett_p, bartlett.test(y ~ mix, several)$p.value, 7, TRUE)
    three <- droplevels(means[means$mix %in% names(which(table(means$mix) >= 3)), ])
    if (!is.null(method$equal_spread$f) && nlevels(three$mix) > 1) {
        three$apart <- abs(three$y - ave(three$y, three$mix, FUN = median))
        tell(case, "Brown-Forsythe F", method$equal_spread$f, anova(aov(apart ~ mix, three))[1, 4], 7)
    }
}

# ---- percent lighter: the ratios that a t test does not exclude ----

mix_mean <- function(rows) {
    if (length(unique(rows$batch)) < 2) return(NULL)
    if (max(table(rows$batch)) == 1) return(list(mean = mean(rows$y), variance = var(rows$y) / nrow(rows), df = nrow(rows) - 1))
    model <- tight_model(y ~ 1 + (1 | batch), rows)
    table <- suppressMessages(coef(summary(model, ddf = "Kenward-Roger")))
    list(mean = table[1, 1], variance = table[1, 2]^2, df = table[1, 3])
}

check_lighter <- function(case, mix, own, other, confidence) {
    if (is.null(own) || is.null(other) || is.null(mix$percent_lighter$lower)) return()
    r <- own$mean / other$mean
    df <- (own$variance + r^2 * other$variance)^2 / (own$variance^2 / own$df + r^4 * other$variance^2 / other$df)
    t <- qt(0.5 + confidence / 2, df)
    outside <- function(ratio) (own$mean - ratio * other$mean)^2 - t^2 * (own$variance + ratio^2 * other$variance)
    lower <- uniroot(outside, c(0, r), tol = 1e-12)$root
    upper <- uniroot(outside, c(r, 3 * r + 1), tol = 1e-12)$root
    tell(case, paste("percent lighter,", mix$mix), mix$percent_lighter$estimate, 100 * (1 - r), 4, TRUE)
    tell(case, paste("percent lighter, lower,", mix$mix), mix$percent_lighter$lower, 100 * (1 - upper), 3, TRUE)
    tell(case, paste("percent lighter, upper,", mix$mix), mix$percent_lighter$upper, 100 * (1 - lower), 3, TRUE)
}

# ---- a study whole ----

check_study <- function(case, options, choose) {
    specimens <- specimens_of(options)
    specimens$batch <- ifelse(is.na(specimens$batch) | specimens$batch == "", seq_len(nrow(specimens)), specimens$batch)
    got <- answer("compare", options)
    for (method in got$methods) {
        column <- units[[method$property]]
        rows <- choose(specimens[!is.na(specimens[[column]]), ])
        means <- aggregate(list(y = rows[[column]]), list(mix = rows$mix, batch = rows$batch), mean)
        means$mix <- factor(means$mix)
        name <- paste(case, method$property)
        check_tests(name, method, means)
        if (method$log_scale) means$y <- log(means$y)
        check_pairs(name, Filter(function(p) p$property == method$property, got$pairs), method, means, got$confidence)
        if (!is.null(got$reference))
            check_against(name, Filter(function(p) p$property == method$property, got$against_reference), method, means,
                          got$reference, got$confidence)
    }
    rows <- choose(specimens[!is.na(specimens$density_kg_m3), ])
    rows <- data.frame(y = rows$density_kg_m3, batch = factor(rows$batch), mix = rows$mix)
    other <- mix_mean(droplevels(rows[rows$mix == got$reference, ]))
    for (mix in got$mixes)
        if (mix$mix != got$reference)
            check_lighter(paste(case, "density"), mix, mix_mean(droplevels(rows[rows$mix == mix$mix, ])), other, got$confidence)
    check_lines(case, got)
}

# ---- parallel lines through the means of the mixes ----

check_lines <- function(case, got) {
    for (lines in got$lines) {
        points <- do.call(rbind, lapply(got$mixes, function(mix) {
            x <- if (lines$predictor == "density") mix$density_kg_m3$mean else mix$aggregate_fraction
            y <- mix[[units[[lines$property]]]]$mean
            if (is.null(x) || is.null(y)) NULL else data.frame(aggregate = mix$aggregate, x = x, y = if (lines$log_scale) log(y) else y)
        }))
        points <- points[points$aggregate %in% names(which(table(points$aggregate) > 2)), ]
        if (is.null(lines$common_slope$f) || length(unique(points$aggregate)) < 2) next
        apart <- lm(y ~ aggregate * x, points); parallel <- lm(y ~ aggregate + x, points); one <- lm(y ~ x, points)
        name <- paste(case, lines$property)
        tell(name, "common slope F", lines$common_slope$f, anova(parallel, apart)[2, 5], 8)
        tell(name, "common slope p", lines$common_slope$p, anova(parallel, apart)[2, 6], 8, TRUE)
        tell(name, "equal intercepts F", lines$equal_intercepts$f, anova(one, parallel)[2, 5], 8)
        tell(name, "slope", lines$slope, coef(parallel)[["x"]], 8)
        tell(name, "slope's error", lines$slope_std_error, coef(summary(parallel))["x", 2], 8)
    }
}

commonest <- function(rows) if (all(is.na(rows$moisture))) rows else rows[rows$moisture == names(which.max(table(rows$moisture))), ]
check_study("pavers", c("--study", "datasets/roof-terrace-pavers/study.ini"), commonest)
check_study("aerated cubes", c("--age", "28", "--column", "aggregate_fraction=aluminium_pct_of_cement[%]",
                               "datasets/aerated-aluminium/aerated_aluminium_cubes.csv"), identity)

# Invented studies whose mixes scatter alike, and very unlike.
for (seed in 1:8) {
    set.seed(seed)
    batches <- sample(3:6, 5, replace = TRUE)
    spread <- if (seed %% 2) rep(20, 5) else c(4, 90, 6, 200, 10)
    study <- do.call(rbind, lapply(seq_along(batches), function(m) {
        of_batch <- rnorm(batches[m], 1900 - 120 * m, spread[m])
        sizes <- sample(1:3, batches[m], replace = TRUE)
        data.frame(specimen = paste0("S", m, "-", seq_len(sum(sizes))), mix = paste0("M", m), batch = rep(seq_len(batches[m]), sizes),
                   aggregate = "pumice", aggregate_fraction = (m - 1) / 5, density_kg_m3 = rep(of_batch, sizes) + rnorm(sum(sizes), 0, 8))
    }))
    check_study(if (seed %% 2) "mixes that scatter alike" else "mixes that scatter unlike", write_data(study, paste0("mixes-", seed)), identity)
}

# ---- pass or fail ----

set.seed(7)
trials <- do.call(rbind, lapply(1:12, function(m) {
    n <- sample(1:40, 1)
    data.frame(specimen = paste0("T", m, "-", seq_len(n)), mix = paste0("M", m), result = ifelse(runif(n) < 0.9, "pass", "fail"))
}))
for (mix in answer("results", write_data(trials, "trials"))$trials)
    tell("pass or fail", paste(mix$n_passed, "of", mix$n_specimens), mix$at_least,
         binom.test(mix$n_passed, mix$n_specimens, alternative = "greater")$conf.int[1], 10)
