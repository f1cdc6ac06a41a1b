# plumestone: `make` alone lists the targets.
CC      ?= gcc
VERSION := 0.1.0
PREFIX  ?= /usr/local
BUILD   ?= build
PACKAGES := gsl libRmath jansson cunit inih md4c-html

STRICT  := -std=c11 -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Werror
CFLAGS  ?= -O2 -g
ALL_CFLAGS = $(STRICT) $(CFLAGS) -D_POSIX_C_SOURCE=200809L -D_DEFAULT_SOURCE -DPLUMESTONE_VERSION='"$(VERSION)"' \
             -Iinclude -Isrc -MMD -MP $(shell pkg-config --cflags gsl libRmath jansson inih md4c-html)
LIBRARIES = $(shell pkg-config --libs gsl libRmath jansson inih md4c-html) -lcsv -lpthread -lm

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
	$$(CC) $$(ALL_CFLAGS) $$(LDFLAGS) -Itests -o $$@ $$< $(foreach need,$(NEEDS_$(1)),$(BUILD)/lib$(need).a) $$(LIBRARIES) $$(shell pkg-config --libs cunit)
endef
$(foreach layer,$(LAYERS),$(eval $(call unit_rule,$(layer))))

$(BUILD)/tests/certified/%: tests/certified/%.c $(foreach need,$(NEEDS_analysis),$(BUILD)/lib$(need).a)
	@mkdir -p $(dir $@)
	$(CC) $(ALL_CFLAGS) $(LDFLAGS) -Itests -o $@ $< $(foreach need,$(NEEDS_analysis),$(BUILD)/lib$(need).a) $(LIBRARIES) $(shell pkg-config --libs cunit)

.PHONY: unit
unit: $(UNIT_TESTS) $(CERTIFIED_TESTS) ## build and run the unit and certified tests
	@sh tests/run-suites.sh $(UNIT_TESTS) $(CERTIFIED_TESTS)

.PHONY: clean
clean: ## remove what was built
	rm -rf $(BUILD)

-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)
