#!/bin/sh
# A batch in shares as an array of jobs, for Slurm or another scheduler that starts a script once a share.
#
#   first=$(sbatch --parsable --array=1-16 job-array.sh measure SCANS OUT)
#   then=$(sbatch --parsable --array=1-16 --dependency=afterany:"$first" job-array.sh make SCANS OUT)
#   sbatch --dependency=afterany:"$then" job-array.sh gather SCANS OUT
#
# With another scheduler set SHARE and SHARES, which count from 1, where its own numbers are named otherwise. What stands
# after OUT is handed to dryside; give both passes the same.
#SBATCH --job-name=dryside
#SBATCH --cpus-per-task=2
#SBATCH --mem=1G
#SBATCH --output=dryside-%A-%a.log
set -eu

[ $# -ge 3 ] || { echo "usage: job-array.sh measure|make|gather SCANS OUT [OPTION...]" >&2; exit 2; }
pass=$1 scans=$2 out=$3
shift 3

if [ "$pass" = gather ]; then
    exec dryside batch --gather "$out"
fi

share=${SHARE:-${SLURM_ARRAY_TASK_ID:?no number of a share: set SHARE}}
shares=${SHARES:-${SLURM_ARRAY_TASK_MAX:?no count of shares: set SHARES}}
set -- --out "$out" --share "$share/$shares" --jobs "${SLURM_CPUS_PER_TASK:-2}" "$@"
case $pass in
measure) exec dryside batch "$scans" --measure-only "$@" ;;
make) exec dryside batch "$scans" "$@" ;;
*) echo "job-array.sh: $pass: use measure, make or gather" >&2; exit 2 ;;
esac
