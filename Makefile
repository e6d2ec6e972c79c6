# make run   the bench: environment, database, sample workshop, then pages on this machine
# make test  everything that is checked
PY ?= python3
RUN := .venv/run
DEV := .venv/dev
SUM = $(shell cat $(1) pyproject.toml | cksum | cut -d' ' -f1)
RUN_STAMP := $(RUN)/.ok-$(call SUM,requirements/run.txt)
DEV_STAMP := $(DEV)/.ok-$(call SUM,requirements/dev.txt)
export OPENBLAS_NUM_THREADS := 1

.PHONY: run test env-run env-dev check

run: $(RUN_STAMP)
	@$(RUN)/bin/slake start

env-run: $(RUN_STAMP)
env-dev: $(DEV_STAMP)

$(RUN_STAMP):
	@bash requirements/build-env.sh $(PY) $(RUN) requirements/run.txt $@

$(DEV_STAMP):
	@bash requirements/build-env.sh $(PY) $(DEV) requirements/dev.txt $@

test: $(DEV_STAMP)
	@DEV=$(DEV) bash tests/everything.sh
