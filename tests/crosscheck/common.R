# What the R checks share: calling the program, counting digits, mixed models.
suppressPackageStartupMessages({
    library(lme4); library(lmerTest); library(pbkrtest); library(multcomp); library(jsonlite)
})
arguments <- commandArgs(trailingOnly = TRUE)
program <- arguments[1]
work <- arguments[2]

# The object that the program answers with.
answer <- function(...) {
    out <- suppressWarnings(system2(program, shQuote(c(..., "--json", "--quiet")), stdout = TRUE, stderr = FALSE))
    if (!is.null(attr(out, "status")) || length(out) == 0) stop("the program failed: ", paste(c(...), collapse = " "))
    fromJSON(out, simplifyVector = FALSE)
}

# The specimens as the program derives them, a row each.
specimens_of <- function(options) {
    rows <- answer("results", options)$specimens
    column <- function(key, none) vapply(rows, function(row) if (is.null(row[[key]])) none else row[[key]], none)
    numbers <- c("aggregate_fraction", "density_kg_m3", "compressive_strength_mpa", "flexural_strength_mpa", "absorption_pct")
    data.frame(lapply(sapply(c("mix", "batch", "aggregate", "moisture"), identity), column, NA_character_),
               lapply(setNames(numbers, numbers), column, NA_real_))
}

# A line of the agreement: part, case, quantity, digits, bar. Digits of the relative error, or of the error itself.
tell <- function(case, quantity, got, want, bar, absolute = FALSE) {
    got <- if (is.null(got)) NA else got
    error <- abs(got - want) / (if (absolute || want == 0) 1 else abs(want))
    digits <- if (is.na(error)) 0 else if (error == 0) 15 else min(15, max(0, -log10(error)))
    cat("R", case, quantity, sprintf("%.1f", digits), sprintf("%.1f", bar), sep = "\t", fill = FALSE)
    cat("\n")
    if (digits < bar - 0.05)
        cat(sprintf("%s, %s: the program says %.12g, R %.12g\n", case, quantity, got, want), file = stderr())
}

write_data <- function(data, name) {
    path <- file.path(work, paste0(name, ".csv"))
    connection <- file(path, "w")
    cat(names(data), sep = ",", file = connection)
    cat("\n", file = connection)
    for (i in seq_len(nrow(data)))
        cat(paste(vapply(data, function(column) if (is.numeric(column)) sprintf("%.17g", column[i]) else as.character(column[i]), ""),
                  collapse = ","), "\n", sep = "", file = connection)
    close(connection)
    path
}

tight <- lmerControl(optimizer = "nloptwrap", calc.derivs = FALSE, check.conv.singular = "ignore",
                     optCtrl = list(algorithm = "NLOPT_LN_BOBYQA", xtol_abs = 1e-12, ftol_abs = 1e-14, maxeval = 10000))

# The search of lmer stops early now and then: it is sent on from where it stopped, from both sides.
tight_model <- function(formula, data) {
    model <- suppressMessages(lmerTest::lmer(formula, data, REML = TRUE, control = tight))
    for (factor in c(1.01, 0.99, 1.001)) {
        other <- suppressMessages(lmerTest::lmer(formula, data, REML = TRUE, control = tight, start = factor * getME(model, "theta")))
        if (logLik(other) > logLik(model)) model <- other
    }
    model
}

# Fit of the program against REML with Kenward and Roger's errors and degrees of freedom; lm where every batch has one row.
check_mixed <- function(case, fit, data, formula, jacobian = 0) {
    if (max(table(data$batch)) == 1) return(check_plain(case, fit, data, formula, jacobian))
    model <- tight_model(update(formula, . ~ . + (1 | batch)), data)
    table <- suppressMessages(coef(summary(model, ddf = "Kenward-Roger")))
    for (i in seq_len(nrow(table))) {
        own <- fit$coefficients[[i]]
        # an estimate near zero has the digits of its error
        tell(case, paste("estimate of", own$name), own$estimate / own$std_error, table[i, 1] / own$std_error, 5, abs(table[i, 4]) < 1)
        tell(case, paste("standard error of", own$name), own$std_error, table[i, 2], 4.5)
        tell(case, paste("df of", own$name), own$df, table[i, 3], 3.5)
        tell(case, paste("p of", own$name), own$p, table[i, 5], 3.5, TRUE)
    }
    scatter <- as.data.frame(VarCorr(model))$sdcor
    tell(case, "sd within", fit$sd_specimen, scatter[2], 4.5)
    tell(case, "sd between", fit$sd_batch / scatter[2], scatter[1] / scatter[2], 3.5, scatter[1] < scatter[2] / 10)
    ml <- logLik(suppressMessages(lme4::lmer(update(formula, . ~ . + (1 | batch)), data, REML = FALSE, control = tight)))
    tell(case, "AICc", fit$aicc, aicc(ml, nrow(data)) + jacobian, 6)
}

aicc <- function(log_likelihood, n) {
    k <- attr(log_likelihood, "df")
    -2 * as.numeric(log_likelihood) + 2 * k + 2 * k * (k + 1) / (n - k - 1)
}

# Cook's distances, leverages and Shapiro-Wilk of the residuals, of the fits that tell them.
check_influence <- function(case, fit, model) {
    for (unit in if (is.null(fit$aggregate)) fit$influence) { # rows are those of the file
        tell(case, paste("Cook's distance of", unit$name), unit$cooks_distance, cooks.distance(model)[[unit$row]], 7)
        tell(case, paste("leverage of", unit$name), unit$leverage, hatvalues(model)[[unit$row]], 8)
    }
    if (is.null(fit$shapiro_wilk$w)) return()
    normal <- shapiro.test(weighted.residuals(model))
    tell(case, "Shapiro-Wilk W", fit$shapiro_wilk$w, normal$statistic, 7)
    tell(case, "Shapiro-Wilk p", fit$shapiro_wilk$p, normal$p.value, 6, TRUE)
}

check_plain <- function(case, fit, data, formula, jacobian = 0, weights = NULL) {
    data$weight_of_row <- if (is.null(weights)) rep(1, nrow(data)) else weights
    model <- lm(formula, data, weights = weight_of_row)
    table <- coef(summary(model))
    for (i in seq_len(nrow(table))) {
        own <- fit$coefficients[[i]]
        tell(case, paste("estimate of", own$name), own$estimate, table[i, 1], 8)
        tell(case, paste("standard error of", own$name), own$std_error, table[i, 2], 8)
        tell(case, paste("p of", own$name), own$p, table[i, 4], 8, TRUE)
    }
    tell(case, "residual sd", fit$residual_sd, sigma(model), 8)
    check_influence(case, fit, model)
    tell(case, "AICc", fit$aicc, aicc(logLik(model), nrow(data)) + jacobian, 8)
}
