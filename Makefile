# plumestone: `make` alone lists the targets.
ifeq ($(origin CC),default)
CC      := gcc
endif
VERSION := 0.1.0
PREFIX  ?= /usr/local
BUILD   ?= build
DESTDIR ?=
PACKAGES := gsl libRmath jansson inih md4c-html zlib

# Asked once and only when something is compiled: on a fresh system pkg-config comes with the first `make demo`.
PACKAGE_CFLAGS = $(eval PACKAGE_CFLAGS := $(shell pkg-config --cflags $(PACKAGES)))$(PACKAGE_CFLAGS)
PACKAGE_LIBRARIES = $(eval PACKAGE_LIBRARIES := $(shell pkg-config --libs $(PACKAGES)))$(PACKAGE_LIBRARIES)
CUNIT_LIBRARIES = $(eval CUNIT_LIBRARIES := $(shell pkg-config --libs cunit))$(CUNIT_LIBRARIES)

STRICT  := -std=c11 -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Werror
CFLAGS  ?= -O2 -g
ALL_CFLAGS = $(STRICT) $(CPPFLAGS) $(CFLAGS) -D_POSIX_C_SOURCE=200809L -D_DEFAULT_SOURCE -DPLUMESTONE_VERSION='"$(VERSION)"' \
             -Iinclude -Isrc -MMD -MP $(PACKAGE_CFLAGS)
LIBRARIES = $(PACKAGE_LIBRARIES) -lcsv -lpthread -lm

# Folders in the order of data, lowest last, as the linker wants them.
LAYERS  := commands output advise analysis stats specimen ingest base cli
SOURCES := $(foreach layer,$(LAYERS),$(wildcard src/$(layer)/*.c))
ARCHIVES := $(foreach layer,$(LAYERS),$(BUILD)/lib$(layer).a)
# cli needs base, so base stands twice.
LINK_ORDER = $(BUILD)/libcommands.a $(BUILD)/liboutput.a $(BUILD)/libadvise.a $(BUILD)/libanalysis.a $(BUILD)/libstats.a \
             $(BUILD)/libspecimen.a $(BUILD)/libingest.a $(BUILD)/libcli.a $(BUILD)/libbase.a

# What a test of a folder links with: the folder and all below it.
NEEDS_base     := base
NEEDS_ingest   := ingest base
NEEDS_specimen := specimen ingest base
NEEDS_stats    := stats base
NEEDS_analysis := analysis stats specimen ingest base
NEEDS_advise   := advise analysis stats specimen ingest base
NEEDS_output   := output advise analysis stats specimen ingest base
NEEDS_cli      := cli base
NEEDS_commands := commands output advise analysis stats specimen ingest cli base

UNIT_TESTS := $(patsubst tests/unit/%.c,$(BUILD)/tests/unit/%,$(wildcard tests/unit/*/*.c))
CERTIFIED_TESTS := $(patsubst tests/certified/%.c,$(BUILD)/tests/certified/%,$(wildcard tests/certified/*.c))

.PHONY: help
help: ## list the targets
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "  make %-12s %s\n",$$1,$$2}' Makefile

# The two that a newcomer needs. Both hand over to a second make, because the
# first may have had to install the compiler.
AGAIN = $(MAKE) --no-print-directory -j2
DEMO_REPORT := $(BUILD)/demo-report

.PHONY: demo
demo: ## install what is missing, build, and recommend a recipe from the demo study
	@sh .make/install-packages.sh
	@$(AGAIN) --silent all
	@sh .make/demo.sh $(BUILD)/plumestone $(DEMO_REPORT)

.PHONY: check
check: ## install what is missing, build, and run every test
	@sh .make/install-packages.sh check
	@$(AGAIN) --silent --keep-going all tests || echo "not all could be built: what is missing counts as failed"
	@sh tests/run-check.sh 'sh tests/structure/check-layers.sh' 'sh tests/structure/check-caps.sh' \
		'sh tests/run-suites.sh $(UNIT_TESTS)' \
		'sh tests/run-certified.sh $(CERTIFIED_TESTS)' \
		'sh tests/run-golden.sh $(BUILD)/plumestone tests/golden' \
		'sh tests/run-golden.sh $(BUILD)/plumestone tests/messy' \
		'sh tests/run-messy.sh $(BUILD)/plumestone tests/messy' \
		'sh tests/run-docs.sh $(BUILD)/plumestone README.md docs' \
		'BUILD=$(BUILD) sh tests/run-demo-data.sh' \
		'BUILD=$(BUILD) sh tests/crosscheck/units.sh' \
		'sh tests/schema/run.sh $(BUILD)/plumestone' \
		'sh tests/habits/run.sh $(BUILD)/plumestone $(BUILD)' \
		'sh tests/faults/record-crash.sh $(BUILD)/plumestone' \
		'sh tests/faults/record-surroundings.sh $(BUILD)/plumestone'

.PHONY: all
all: $(BUILD)/plumestone ## build the program

$(BUILD)/plumestone: $(BUILD)/main.o $(ARCHIVES)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $< $(LINK_ORDER) $(LIBRARIES)

$(BUILD)/%.o: src/%.c
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) -c -o $@ $<

define archive_rule
$(BUILD)/lib$(1).a: $(patsubst src/%.c,$(BUILD)/%.o,$(wildcard src/$(1)/*.c))
	@mkdir -p $$(dir $$@)
	@rm -f $$@
	ar rcs $$@ $$^
endef
$(foreach layer,$(LAYERS),$(eval $(call archive_rule,$(layer))))

# tests/unit/FOLDER/NAME.c -> build/tests/unit/FOLDER/NAME
define unit_rule
$(BUILD)/tests/unit/$(1)/%: tests/unit/$(1)/%.c $(foreach need,$(NEEDS_$(1)),$(BUILD)/lib$(need).a)
	@mkdir -p $$(dir $$@)
	$$(CC) $$(ALL_CFLAGS) $$(LDFLAGS) -Itests -o $$@ $$< $(foreach need,$(NEEDS_$(1)),$(BUILD)/lib$(need).a) $$(LIBRARIES) $$(CUNIT_LIBRARIES)
endef
$(foreach layer,$(LAYERS),$(eval $(call unit_rule,$(layer))))

$(BUILD)/tests/certified/%: tests/certified/%.c $(foreach need,$(NEEDS_analysis),$(BUILD)/lib$(need).a)
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -Itests -o $@ $< $(foreach need,$(NEEDS_analysis),$(BUILD)/lib$(need).a) $(LIBRARIES) $(CUNIT_LIBRARIES)

# This one calls the program.
$(BUILD)/tests/certified/program: $(BUILD)/plumestone

.PHONY: tests
tests: $(UNIT_TESTS) $(CERTIFIED_TESTS) ## build the unit and certified tests

.PHONY: unit
unit: $(UNIT_TESTS) ## run the unit tests
	@sh tests/run-suites.sh $(UNIT_TESTS)

.PHONY: certified
certified: $(CERTIFIED_TESTS) ## digits of agreement with published data and answers (UPDATE=1 rewrites docs/accuracy.md)
	@sh tests/run-certified.sh $(CERTIFIED_TESTS)

.PHONY: crosscheck
crosscheck: all ## hold the statistics against R and SciPy, live (installs them from Debian)
	@sh tests/crosscheck/run.sh $(BUILD)

CALIBRATION_LIBS := $(foreach need,$(NEEDS_advise),$(BUILD)/lib$(need).a)
$(BUILD)/tests/calibration/calibration: tests/calibration/calibration.c $(CALIBRATION_LIBS)
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -Itests -o $@ $< $(CALIBRATION_LIBS) $(LIBRARIES)

STUDIES ?= 300
.PHONY: calibration
calibration: $(BUILD)/tests/calibration/calibration ## nominal against actual confidence of every bound (STUDIES=4000 for a full run; docs/calibration.md)
	@sh tests/calibration/run.sh $(BUILD)/tests/calibration/calibration $(STUDIES)

.PHONY: golden
golden: all ## run the command cases (UPDATE=1 rewrites what they expect)
	@sh tests/run-golden.sh $(BUILD)/plumestone tests/golden

.PHONY: messy
messy: all ## run the cases of bad and hostile input
	@sh tests/run-golden.sh $(BUILD)/plumestone tests/messy
	@sh tests/run-messy.sh $(BUILD)/plumestone tests/messy

.PHONY: browser
browser: ## install what is missing, and look at reports and the batch sheet in headless Chromium (KEEP=FOLDER keeps pictures)
	@sh .make/install-packages.sh browser
	@$(AGAIN) --silent all
	@sh tests/browser/run.sh $(BUILD)/plumestone $(KEEP)

.PHONY: docs-check
docs-check: all ## run the examples of README and docs (UPDATE=1 rewrites what they show)
	@sh tests/run-docs.sh $(BUILD)/plumestone README.md docs

.PHONY: gallery
gallery: all ## draw the pictures of docs/gallery.md again
	@sh .make/gallery.sh $(BUILD)/plumestone

# How much of a test is run: "quick" for every change, "full" for `make torture`.
SIZE ?= full

.PHONY: coverage
coverage: ## lines and branches that the tests run, and what is left and why
	@sh .make/install-packages.sh check
	@$(AGAIN) --silent BUILD=$(BUILD)/coverage CFLAGS='-O0 -g --coverage' LDFLAGS=--coverage all tests
	@sh tests/coverage/run.sh $(BUILD)/coverage

$(BUILD)/tests/injection/hostile: tests/injection/hostile.c tests/injection/payloads.h
	@mkdir -p $(dir $@)
	$(CC) $(STRICT) $(CFLAGS) -o $@ $< -lm

$(BUILD)/tests/injection/inspect: tests/injection/inspect.c
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $< $(LIBRARIES)

.PHONY: injection
injection: all $(BUILD)/tests/injection/hostile $(BUILD)/tests/injection/inspect ## hostile names against a naive writer and against the program (SIZE=quick)
	@sh tests/injection/run.sh $(BUILD)/plumestone $(BUILD)/tests/injection $(SIZE)

$(BUILD)/tests/properties/%: tests/properties/%.c
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $< $(LIBRARIES)

.PHONY: properties
properties: all $(BUILD)/tests/properties/random_study $(BUILD)/tests/properties/same_answer ## random studies told in other ways (SIZE=quick)
	@sh tests/properties/run.sh $(BUILD)/plumestone $(BUILD)/tests/properties $(SIZE)

$(BUILD)/tests/limits/peak: tests/limits/peak.c
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -o $@ $<

.PHONY: limits
limits: all $(BUILD)/tests/limits/peak ## files far larger than a laboratory's, and the memory they take (SIZE=quick)
	@sh tests/limits/run.sh $(BUILD)/plumestone $(BUILD)/tests/limits $(SIZE)

# Seeded faults run the tests linked with a shared library, under the address sanitizer.
MUTANTS ?= 90
.PHONY: mutants
mutants: export MUTANT_FLAGS = $(filter-out -Werror -MMD -MP,$(subst -O2 -g,-O1,$(ALL_CFLAGS))) -Itests -fPIC -fsanitize=address
mutants: export MUTANT_LIBRARIES = $(LIBRARIES) $(CUNIT_LIBRARIES)
mutants: ## seed small faults one at a time and see that the tests catch them (MUTANTS=90, JOBS=1, SAMPLE=1)
	@sh .make/install-packages.sh check
	@sh tests/mutation/run.sh $(BUILD)/mutants $(MUTANTS)

.PHONY: layers
layers: ## check who includes whom and who calls what
	@sh tests/structure/check-layers.sh

.PHONY: caps
caps: ## check the length and complexity of functions and files
	@sh tests/structure/check-caps.sh

# The long tests: each part is a target of its own, and docs/reliability.md says what it does, how long it takes and what it found.
# First those that let nothing in (sanitizers, faults), then those that try what the program and its tests are worth. All the while
# fuzz runs beside them, and takes the longest: five targets of half an hour each.
TORTURE := sanitized valgrind lint faults
TORTURE += properties injection limits coverage mutants decimals
TORTURE_FUZZ_SECONDS ?= 1800

.PHONY: torture
torture: ## run the long tests, two at once (docs/reliability.md)
	@sh .make/install-packages.sh torture
	@$(MAKE) --no-print-directory fuzz FUZZ_SECONDS=$(TORTURE_FUZZ_SECONDS) & fuzz=$$!; \
	JOBS=1 sh tests/run-check.sh $(foreach part,$(TORTURE),'$(MAKE) --no-print-directory $(part)'); rest=$$?; \
	wait $$fuzz && [ $$rest -eq 0 ]

.PHONY: sanitized
sanitized: ## run every test under the address and undefined-behaviour sanitizers
	@sh tests/run-sanitized.sh

.PHONY: valgrind
valgrind: all tests ## run the unit and certified tests and the command cases under valgrind
	@sh .make/install-packages.sh torture
	@BUILD=$(BUILD) sh tests/run-valgrind.sh $(UNIT_TESTS) $(CERTIFIED_TESTS)

.PHONY: lint
lint: ## read the code by clang-tidy, cppcheck and gcc -fanalyzer
	@BUILD=$(BUILD) sh tests/structure/lint.sh

# quick or full
FAULTS ?= full

.PHONY: faults
faults: all ## let calls fail one by one, kill the program, fill its disk (FAULTS=quick: a part)
	@sh tests/run-check.sh 'BUILD=$(BUILD) sh tests/faults/torture.sh $(FAULTS)' \
		'sh tests/faults/report-interrupted.sh $(BUILD)/plumestone' \
		'sh tests/faults/record-crash.sh $(BUILD)/plumestone 1000' \
		'sh tests/faults/record-surroundings.sh $(BUILD)/plumestone'

# tests/fuzz/NAME.c -> build/tests/fuzz/NAME, by tests/fuzz/run.sh, which names clang and its sanitizers.
FUZZ_TARGETS := numbers table study_file options studies
FUZZ_SECONDS ?= 60

$(BUILD)/tests/fuzz/%: tests/fuzz/%.c tests/fuzz/fuzz.c $(ARCHIVES)
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -fsanitize=fuzzer -o $@ $< tests/fuzz/fuzz.c $(LINK_ORDER) $(LIBRARIES)

.PHONY: fuzz
fuzz: ## feed made-up bytes to everything that reads (FUZZ_SECONDS=60 each)
	@BUILD=$(BUILD) sh tests/fuzz/run.sh $(FUZZ_SECONDS) $(FUZZ_TARGETS)

DECIMALS ?= 100000000

.PHONY: decimals
decimals: $(BUILD)/tests/unit/base/number ## read random decimals the short way and by strtod (DECIMALS=100000000)
	@DECIMALS=$(DECIMALS) sh tests/run-suites.sh $(BUILD)/tests/unit/base/number

# Timings are never a test: they are read, not checked.
.PHONY: bench
bench: all ## race the reference job against R and Python (installs them) and write docs/performance.md
	@sh .make/install-packages.sh bench
	@mkdir -p $(BUILD)/bench
	$(CC) $(ALL_CFLAGS) -o $(BUILD)/bench/generate-large-study datasets/generators/generate-large-study.c $(LIBRARIES)
	$(CC) $(ALL_CFLAGS) -o $(BUILD)/bench/refits tests/bench/refits.c \
		$(foreach need,$(NEEDS_advise),$(BUILD)/lib$(need).a) $(LIBRARIES)
	@/usr/bin/python3 tests/bench/run.py $(BUILD)

SHARE = $(DESTDIR)$(PREFIX)/share
MANUAL = $(SHARE)/man/man1/plumestone.1
BASH_COMPLETION = $(SHARE)/bash-completion/completions/plumestone
ZSH_COMPLETION = $(SHARE)/zsh/$(ZSH_FOLDER)/_plumestone
FISH_COMPLETION = $(SHARE)/fish/vendor_completions.d/plumestone.fish
PAGES = $(SHARE)/doc/plumestone
ZSH_FOLDER ?= site-functions

.PHONY: install
install: all ## install under PREFIX (/usr/local), into DESTDIR when given
	install -d $(DESTDIR)$(PREFIX)/bin $(dir $(MANUAL) $(BASH_COMPLETION) $(ZSH_COMPLETION) $(FISH_COMPLETION)) $(PAGES)
	install -m 755 $(BUILD)/plumestone $(DESTDIR)$(PREFIX)/bin/plumestone
	$(BUILD)/plumestone help --man --output $(MANUAL)
	$(BUILD)/plumestone help --completion bash --output $(BASH_COMPLETION)
	$(BUILD)/plumestone help --completion zsh --output $(ZSH_COMPLETION)
	$(BUILD)/plumestone help --completion fish --output $(FISH_COMPLETION)
	chmod 644 $(MANUAL) $(BASH_COMPLETION) $(ZSH_COMPLETION) $(FISH_COMPLETION)
	for file in README.md DEVELOPERS.md LICENSE $$(find docs datasets -type f); do \
		install -D -m 644 "$$file" "$(PAGES)/$$file" || exit 1; done

.PHONY: uninstall
uninstall: ## remove what install put under PREFIX
	rm -f $(DESTDIR)$(PREFIX)/bin/plumestone $(MANUAL) $(BASH_COMPLETION) $(ZSH_COMPLETION) $(FISH_COMPLETION)
	rm -rf $(PAGES)

.PHONY: deb
deb: ## install what is missing, and build a Debian package in BUILD/deb
	@sh .make/install-packages.sh package
	@sh .make/debian-package.sh $(BUILD)/deb $(VERSION)

.PHONY: deb-check
deb-check: deb ## install and use the package in a fresh Debian (as root)
	@sh tests/package/run.sh $(BUILD)/deb/plumestone_$(VERSION)_$$(dpkg --print-architecture).deb

.PHONY: clean
clean: ## remove what was built
	rm -rf $(BUILD)

-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)
