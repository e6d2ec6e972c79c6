# make run   the bench: environment, database, sample workshop, then pages on this machine
#            (make run PORT=8001 for another port, make PY=python3.12 run for another Python)
# make test  everything that is checked
PY ?= python3
PORT ?= 8000
RUN := .venv/run
DEV := .venv/dev
SUM = $(shell cat $(1) pyproject.toml | cksum | cut -d' ' -f1)
RUN_STAMP := $(RUN)/.ok-$(call SUM,requirements/run.txt)
DEV_STAMP := $(DEV)/.ok-$(call SUM,requirements/dev.txt)
export OPENBLAS_NUM_THREADS := 1

.PHONY: run test env-run env-dev

run: $(RUN_STAMP)
	@exec $(RUN)/bin/slake start --port $(PORT)

env-run: $(RUN_STAMP)
env-dev: $(DEV_STAMP)

$(RUN_STAMP):
	@bash requirements/build-env.sh $(PY) $(RUN) requirements/run.txt $@

$(DEV_STAMP):
	@bash requirements/build-env.sh $(PY) $(DEV) requirements/dev.txt $@

test: $(DEV_STAMP)
	@DEV=$(DEV) bash tests/everything.sh
