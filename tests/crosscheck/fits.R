# Fits: the studies that are shipped by every law, random unbalanced studies, several predictors, growth with age.
source("tests/crosscheck/common.R")

# ---- laws by aggregate, on the specimens as the program derives them ----

formulas <- list(linear = y ~ x, quadratic = y ~ x + I(x^2), exponential = log(y) ~ x,
                 "exponential-quadratic" = log(y) ~ x + I(x^2), power = log(y) ~ log(x))

check_laws <- function(case, options, choose) {
    specimens <- specimens_of(options)
    for (fit in answer("fit", options)$fits) {
        column <- switch(fit$property, density = "density_kg_m3", absorption = "absorption_pct", paste0(fit$property, "_mpa"))
        rows <- choose(specimens[specimens$aggregate == fit$aggregate & !is.na(specimens[[column]]), ])
        named <- any(!is.na(rows$batch) & rows$batch != "")
        data <- data.frame(y = rows[[column]], x = rows$aggregate_fraction,
                           batch = factor(if (named) paste(rows$mix, rows$batch) else seq_len(nrow(rows))))
        stopifnot(nrow(data) == fit$n_specimens)
        logged <- all.vars(formulas[[fit$law]])[1] == "y" && grepl("log", deparse(formulas[[fit$law]])[1]) && fit$law != "linear"
        check_mixed(paste(case, fit$aggregate, fit$property), fit, data, formulas[[fit$law]],
                    if (logged) 2 * sum(log(data$y)) else 0)
    }
}

commonest <- function(rows) rows[rows$moisture == names(which.max(table(rows$moisture))), ]
check_laws("pavers", c("--study", "datasets/roof-terrace-pavers/study.ini"),
           function(rows) if (all(is.na(rows$moisture))) rows else commonest(rows))
aerated <- c("--column", "aggregate_fraction=aluminium_pct_of_cement[%]")
check_laws("aerated cubes", c("--age", "28", aerated, "datasets/aerated-aluminium/aerated_aluminium_cubes.csv"), identity)
check_laws("aerated beams", c("--age", "28", aerated, "datasets/aerated-aluminium/aerated_aluminium_beams.csv"), identity)

# ---- random unbalanced studies ----

random_study <- function(seed) {
    set.seed(seed)
    sizes <- sample(1:5, sample(4:14, 1), replace = TRUE)
    while (max(sizes) == 1 || length(sizes) < 5) sizes <- c(sizes, 3)
    level <- sample(c(0.1, 0.25, 0.4, 0.55, 0.7), length(sizes), replace = TRUE)
    level[1:3] <- c(0.1, 0.4, 0.7)
    batch <- rep(seq_along(sizes), sizes)
    between <- c(0, 0.4, 1, 4)[seed %% 4 + 1]
    offset <- if (seed %% 5 == 0) 1e5 else 0
    x <- level[batch]
    y <- 40 - 25 * x + rnorm(length(sizes), sd = between)[batch] + rnorm(length(x)) + offset
    data.frame(y = y, x = x, batch = sprintf("B%02d", batch))
}

for (seed in 1:30) {
    data <- random_study(seed)
    degree <- seed %% 2 + 1
    path <- write_data(data, paste0("random-", seed))
    fit <- answer("fit", path, "--response", "y", "--on", "x", "--batch", "batch", "--degree", degree)$fits[[1]]
    formula <- if (degree == 1) y ~ x else y ~ x + I(x^2)
    check_mixed(if (seed %% 5 == 0) "random studies far from zero" else if (fit$sd_batch == 0) "random studies at the boundary" else "random studies",
                fit, data, formula)
}

# ---- any columns: several predictors, weights, no intercept ----

hald <- read.csv("datasets/hald-cement/hald_cement_heat.csv")
columns <- names(hald)[1:3]
fit <- answer("fit", "datasets/hald-cement/hald_cement_heat.csv", "--response", "heat_cal_per_g", "--on", columns[1],
              "--also", columns[2], "--also", columns[3])$fits[[1]]
check_plain("hald cement", fit, hald, reformulate(columns, "heat_cal_per_g"))
own <- sapply(columns, function(column) 1 / (1 - summary(lm(reformulate(setdiff(columns, column), column), hald))$r.squared))
tell("hald cement", "variance inflation", fit$near_dependence$inflation, max(own), 8)
weights <- 1 + (seq_len(nrow(hald)) * 7) %% 5
path <- write_data(cbind(hald, weight = weights), "weighted")
fit <- answer("fit", path, "--response", "heat_cal_per_g", "--on", columns[2], "--also", columns[1], "--weights", "weight")$fits[[1]]
check_plain("hald cement, weighted", fit, hald, reformulate(columns[2:1], "heat_cal_per_g"), weights = weights)
fit <- answer("fit", path, "--response", "heat_cal_per_g", "--on", columns[2], "--also", columns[1], "--no-intercept")$fits[[1]]
check_plain("hald cement, no intercept", fit, hald, reformulate(columns[2:1], "heat_cal_per_g", intercept = FALSE))
yeh <- read.csv("datasets/yeh-concrete/yeh_concrete_strength.csv")
columns <- names(yeh)[1:8]
fit <- do.call(answer, as.list(c("fit", "datasets/yeh-concrete/yeh_concrete_strength.csv", "--response", names(yeh)[9],
                                 "--on", columns[1], rbind("--also", columns[-1]))))$fits[[1]]
check_plain("yeh concrete", fit, yeh, reformulate(columns, names(yeh)[9]))
pastes <- read.csv("datasets/davies-cement/davies_paste_batches.csv")
fit <- answer("fit", "datasets/davies-cement/davies_paste_batches.csv", "--response", "strength", "--batch", "sample")$fits[[1]]
check_mixed("paste casks", fit, data.frame(y = pastes$strength, batch = pastes$sample), y ~ 1)

# ---- growth with age ----

cubes <- read.csv("datasets/aerated-aluminium/aerated_aluminium_cubes.csv")
curves <- list(hyperbolic = y ~ limit * t / (half_time + t), "root-exponential" = y ~ limit * exp(-sqrt(time_constant / t)),
               exponential = y ~ limit * exp(-(time_constant / t)^shape))
for (fit in answer("fit", "--on", "age", aerated, "datasets/aerated-aluminium/aerated_aluminium_cubes.csv")$fits) {
    data <- data.frame(y = cubes$compressive_strength_MPa, t = cubes$age_days)[cubes$mix == fit$mix, ]
    start <- setNames(lapply(fit$coefficients, function(term) term$estimate * 1.05), sapply(fit$coefficients, `[[`, "name"))
    model <- try(nls(curves[[fit$law]], data, start = start, control = nls.control(tol = 1e-6, minFactor = 1e-10, maxiter = 200)), silent = TRUE)
    if (inherits(model, "try-error")) next # nls often gives up where three constants meet three ages
    table <- coef(summary(model))
    for (i in seq_len(nrow(table))) {
        tell("growth with age", paste(fit$mix, fit$law, rownames(table)[i]), fit$coefficients[[i]]$estimate / table[i, 2],
             table[i, 1] / table[i, 2], 5, TRUE) # in standard errors
        tell("growth with age", paste(fit$mix, fit$law, rownames(table)[i], "error"), fit$coefficients[[i]]$std_error, table[i, 2], 4)
    }
    tell("growth with age", paste(fit$mix, fit$law, "scatter"), fit$residual_sd, sigma(model), 7)
    if (!is.null(fit$aicc)) tell("growth with age", paste(fit$mix, fit$law, "AICc"), fit$aicc, aicc(logLik(model), nrow(data)), 7)
}
