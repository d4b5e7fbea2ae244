//! Solves one disturbance.

use super::plan::{Feed, Plan};
use super::{
    Case, CaseAccount, DisturbedCounts, Overstress, Reach, Setting, blank, limits, search,
};
use crate::catalogue::Kind;
use crate::circuit::{Circuit, Model, Netlist, Wave, build};
use crate::design::Design;
use crate::evidence::observe::{Layout, Observation};
use crate::evidence::{Account, Evidence, Measure, Stress, cold, thermal};
use crate::situations::disturbance::Disturbance;
use crate::situations::{Plugged, Situation};
use crate::solver::{self, Failure, Periodic, Probe, Settings, State, Statistics};
use std::collections::BTreeMap;

/// What one situation gave.
pub(super) enum Answer {
    /// Values of the layout's slots, and the statistics at each feed's input.
    Found(Vec<f64>, Vec<Option<Statistics>>),
    /// No source in it: everything at 0 V.
    AtRest,
    /// No solution.
    Failed(String),
}

/// One disturbance in every situation of the plan.
pub(super) fn case(
    design: &Design,
    evidence: &Evidence,
    plan: &Plan,
    disturbance: Disturbance,
) -> (Case, DisturbedCounts) {
    let disturbed = disturbance.apply(design);
    let own = disturbance.part.clone();
    let fault = disturbance.class == crate::situations::disturbance::Class::Fault;
    let mut case = blank(disturbance, None);
    let situations = plan.situations.iter().enumerate().filter(|(_, situation)| {
        !case.disturbance.only_plugged()
            || plan.feeds.iter().any(|feed| {
                matches!(
                    situation.state.plugs.get(&feed.jack),
                    Some(Plugged::Device { .. })
                )
            })
    });
    let (numbers, situations): (Vec<usize>, Vec<&Situation>) = situations.unzip();
    // What the disturbance did where it is solved, for others to start from.
    let mut learned = Vec::new();
    let (answers, mut counts, accounts) = answers(
        &disturbed,
        &evidence.layout,
        plan,
        &situations,
        &mut learned,
    );
    let kept = |accounts: Vec<(usize, Account)>, after: Option<&String>| {
        let kept = accounts.into_iter().map(|(at, account)| CaseAccount {
            situation: numbers[at],
            after: after.cloned(),
            account,
        });
        kept.collect::<Vec<_>>()
    };
    case.accounts = kept(accounts, None);
    for (situation, answer) in situations.iter().zip(&answers) {
        match answer {
            Answer::Failed(reason) => {
                let line = format!("{reason} ({})", situation.describe());
                case.not_assessed.get_or_insert(line);
            }
            Answer::AtRest => {
                reach(plan, situation, None, None, &mut case.reaches);
                setting(
                    &disturbed,
                    evidence,
                    plan,
                    situation,
                    None,
                    &mut case.settings,
                );
            }
            Answer::Found(values, inputs) => {
                reach(plan, situation, Some(inputs), None, &mut case.reaches);
                let found = &mut case.overstressed;
                limits::add(
                    &disturbed,
                    &evidence.layout,
                    &plan.highest,
                    values,
                    situation,
                    found,
                );
                setting(
                    &disturbed,
                    evidence,
                    plan,
                    situation,
                    Some((values, inputs)),
                    &mut case.settings,
                );
            }
        }
    }
    search::widen(
        &disturbed,
        &evidence.layout,
        plan,
        None,
        &learned,
        &mut case,
        &mut counts,
    );
    // What a part's own fault does to it is no news.
    case.overstressed
        .retain(|over| !(fault && over.part == own));
    if let Some(nominal) = plan.situations.first() {
        case.cold = cold::resistances(&disturbed, &nominal.state, plan.cold.iter());
    }
    let mut accounts = Vec::new();
    for regulator in blown(&disturbed, &case.overstressed) {
        let worse = case
            .disturbance
            .followed_by_short(design, &regulator, "in", "out");
        let of = (&worse, &regulator);
        let found = afterwards(of, evidence, plan, &situations, &mut case, &mut counts);
        accounts.extend(kept(found, Some(&regulator)));
    }
    case.accounts.extend(accounts);
    (case, counts)
}

/// What reaches the inputs once a regulator, driven beyond its input rating, passes its input
/// through as well.
fn afterwards(
    (worse, regulator): (&Design, &String),
    evidence: &Evidence,
    plan: &Plan,
    situations: &[&Situation],
    case: &mut Case,
    counts: &mut DisturbedCounts,
) -> Vec<(usize, Account)> {
    let after = Some(regulator);
    let mut learned = Vec::new();
    let (answers, more, accounts) =
        answers(worse, &evidence.layout, plan, situations, &mut learned);
    counts.add(more);
    for (situation, answer) in situations.iter().zip(&answers) {
        match answer {
            Answer::Failed(reason) => {
                let line = format!(
                    "with {regulator} passing its input through: {reason} ({})",
                    situation.describe()
                );
                case.not_assessed.get_or_insert(line);
            }
            Answer::AtRest => {}
            Answer::Found(_, inputs) => {
                reach(plan, situation, Some(inputs), after, &mut case.reaches);
            }
        }
    }
    search::widen(worse, &evidence.layout, plan, after, &learned, case, counts);
    accounts
}

/// Regulators beyond their input rating, which may then pass their input through.
fn blown(design: &Design, overstressed: &[Overstress]) -> Vec<String> {
    overstressed
        .iter()
        .filter(|over| matches!(over.stress, Stress::InputVoltage | Stress::InputOutput))
        .filter(|over| {
            design.parts.get(&over.part).is_some_and(|part| {
                matches!(part.kind, Kind::Regulator | Kind::AdjustableRegulator)
            })
        })
        .map(|over| over.part.clone())
        .collect()
}

/// A situation of a disturbed box that is solved, with its steady state.
pub(super) type Learned = (Situation, State);

/// Solves the situations: the same circuit once, those of one wiring side by side, starting from
/// what is `learned` and adding to it.
pub(super) fn answers(
    design: &Design,
    layout: &Layout,
    plan: &Plan,
    situations: &[&Situation],
    learned: &mut Vec<Learned>,
) -> (Vec<Answer>, DisturbedCounts, Vec<(usize, Account)>) {
    let mut counts = DisturbedCounts::default();
    let mut accounts = Vec::new();
    let circuits: Vec<Circuit> = situations.iter().map(|s| build(design, s)).collect();
    // The first situation with the same circuit.
    let first: Vec<usize> = (0..circuits.len())
        .map(|index| {
            (0..index)
                .find(|other| circuits[*other].netlist == circuits[index].netlist)
                .unwrap_or(index)
        })
        .collect();
    let mut groups: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (index, situation) in situations.iter().enumerate() {
        if first[index] == index && !at_rest(&circuits[index].netlist) {
            let state = &situation.state;
            let key = (!state.powered, &state.switches, &state.plugs);
            groups.entry(key).or_default().push(index);
        }
    }
    let mut solved: BTreeMap<usize, Answer> = BTreeMap::new();
    for members in batches(groups.into_values(), situations, learned.is_empty()) {
        let circuit = &circuits[members[0]];
        let observation = Observation::new(design, layout, circuit);
        let mut probes = observation.probes.clone();
        let inputs: Vec<Option<usize>> = plan
            .feeds
            .iter()
            .map(|feed| {
                let (plus, minus) = feed.nodes(design, circuit)?;
                probes.push(Probe::Voltage { plus, minus });
                Some(probes.len() - 1)
            })
            .collect();
        let starts: Vec<Option<State>> = members
            .iter()
            .map(|index| start(plan, situations[*index], learned))
            .collect();
        let results = sweep(&circuits, &members, &probes, starts);
        for (index, result) in members.iter().zip(results) {
            let answer = match result {
                Ok(periodic) => {
                    counts.solved += 1;
                    accounts.push((*index, Account::from(&periodic)));
                    learned.push((situations[*index].clone(), periodic.state.clone()));
                    let mut values = observation.values(&periodic.probes);
                    thermal::fill(design, layout, situations[*index], &mut values);
                    let at = |probe: &Option<usize>| probe.map(|probe| periodic.probes[probe]);
                    Answer::Found(values, inputs.iter().map(at).collect())
                }
                Err(failure) => {
                    counts.unsolved += 1;
                    Answer::Failed(failure.to_string())
                }
            };
            solved.insert(*index, answer);
        }
    }
    counts.proved = situations.len() - counts.solved - counts.unsolved;
    let answers = first
        .iter()
        .map(|index| match solved.get(index) {
            Some(Answer::Found(values, inputs)) => Answer::Found(values.clone(), inputs.clone()),
            Some(Answer::Failed(reason)) => Answer::Failed(reason.clone()),
            Some(Answer::AtRest) | None => Answer::AtRest,
        })
        .collect();
    (answers, counts, accounts)
}

/// Where nothing is learned yet, the first situation by itself, then the others of its state, for
/// all the rest to start from what the disturbance did there.
fn batches(
    groups: impl Iterator<Item = Vec<usize>>,
    situations: &[&Situation],
    begin: bool,
) -> Vec<Vec<usize>> {
    let mut batches: Vec<Vec<usize>> = groups.collect();
    if let Some(group) = batches.first().filter(|_| begin) {
        let first = group[0];
        let alike = |index: &usize| situations[*index].state == situations[first].state;
        let (same, rest): (Vec<usize>, Vec<usize>) = group[1..].iter().partition(|i| alike(i));
        batches.splice(0..1, [vec![first], same, rest]);
        batches.retain(|batch| !batch.is_empty());
    }
    batches
}

/// How many of what was learned first are looked at: more would take longer than they save.
const TEACHERS: usize = 12;

/// From where to start: the healthy box's state, moved by what the disturbance did to it in the
/// situation most like this one: wired alike, in the nearest corner, with the controls alike.
fn start(plan: &Plan, situation: &Situation, learned: &[Learned]) -> Option<State> {
    let healthy = plan.start(situation);
    let apart = |other: &Situation| {
        let (one, two) = (&situation.state, &other.state);
        let wired = usize::from(one.switches != two.switches) + usize::from(one.plugs != two.plugs);
        let distance = situation.corner.distance(&other.corner);
        (wired, distance, one.travel != two.travel)
    };
    // A box that is off tells nothing of one that is on.
    let nearest = learned
        .iter()
        .take(TEACHERS)
        .filter(|(other, _)| other.state.powered == situation.state.powered)
        .min_by_key(|(other, _)| apart(other));
    let Some((other, state)) = nearest else {
        return healthy.cloned();
    };
    let change = healthy.zip(plan.start(other));
    Some(state.shifted(change.map(|(to, from)| (1.0, to, from))))
}

/// The members side by side, each from its start where that has the same stores of energy; one by
/// one where they turn out to be wired differently.
fn sweep(
    circuits: &[Circuit],
    members: &[usize],
    probes: &[Probe],
    mut starts: Vec<Option<State>>,
) -> Vec<Result<Periodic, Failure>> {
    let netlists: Vec<Netlist> = members
        .iter()
        .map(|index| circuits[*index].netlist.clone())
        .collect();
    let settings = Settings::sweep();
    let stores = stores(&netlists[0]);
    for start in &mut starts {
        *start = start.take().filter(|state| state.storage.len() == stores);
    }
    solver::periodic_sweep(&netlists, probes, &starts, &settings)
        .into_iter()
        .zip(&netlists)
        .map(|(result, netlist)| match result {
            Err(Failure::TopologiesDiffer { .. }) => {
                solver::periodic(netlist, probes, None, &settings)
            }
            // With smaller steps some circuits settle that do not with large ones.
            Err(_) => solver::periodic(netlist, probes, None, &Settings::default()),
            found => found,
        })
        .collect()
}

/// How many capacitors and inductors a circuit has.
fn stores(netlist: &Netlist) -> usize {
    let stores = |model: &Model| matches!(model, Model::Capacitor { .. } | Model::Inductor { .. });
    netlist.elements.iter().filter(|e| stores(&e.model)).count()
}

/// Is there nothing in the circuit that drives anything?
fn at_rest(netlist: &Netlist) -> bool {
    netlist.elements.iter().all(|element| match &element.model {
        Model::VoltageSource { wave, .. } => match wave {
            Wave::Steady(voltage) => *voltage == 0.0,
            Wave::Sine { peak, .. } => *peak == 0.0,
        },
        Model::CurrentSource { .. } | Model::OpAmp { .. } | Model::ShuntReference { .. } => false,
        _ => true,
    })
}

/// Widens what reaches each input that is plugged in, or about to be.
pub(super) fn reach(
    plan: &Plan,
    situation: &Situation,
    inputs: Option<&Vec<Option<Statistics>>>,
    after: Option<&String>,
    reaches: &mut Vec<Reach>,
) {
    for (at, feed) in plan.feeds.iter().enumerate() {
        let meets = match situation.state.plugs.get(&feed.jack) {
            Some(Plugged::Device { index, .. }) => *index == feed.index,
            Some(Plugged::TwoContactLead) => false,
            Some(Plugged::Nothing) | None => true,
        };
        if !meets {
            continue;
        }
        // An open contact brings nothing to the input.
        let (low, high) = inputs
            .and_then(|inputs| inputs[at])
            .map_or((0.0, 0.0), |input| (input.minimum, input.maximum));
        match reaches
            .iter_mut()
            .find(|reach| reach.jack == feed.jack && reach.index == feed.index)
        {
            Some(reach) => {
                if low < reach.low {
                    reach.low = low;
                    reach.low_in = situation.clone();
                    reach.after[0] = after.cloned();
                }
                if high > reach.high {
                    reach.high = high;
                    reach.high_in = situation.clone();
                    reach.after[1] = after.cloned();
                }
            }
            None => reaches.push(first_reach(feed, situation, low, high)),
        }
    }
}

fn first_reach(feed: &Feed, situation: &Situation, low: f64, high: f64) -> Reach {
    Reach {
        jack: feed.jack.clone(),
        index: feed.index,
        low,
        high,
        low_in: situation.clone(),
        high_in: situation.clone(),
        after: [None, None],
    }
}

/// Widens the readings of a setting, where nothing is plugged in; a box at rest reads 0 V.
fn setting(
    design: &Design,
    evidence: &Evidence,
    plan: &Plan,
    situation: &Situation,
    found: Option<(&Vec<f64>, &Vec<Option<Statistics>>)>,
    settings: &mut Vec<Setting>,
) {
    let state = &situation.state;
    let unplugged = state.plugs.values().all(|plug| *plug == Plugged::Nothing);
    if !state.powered || !unplugged {
        return;
    }
    let here = settings.iter().position(|setting| setting.state == *state);
    let here = here.unwrap_or_else(|| {
        settings.push(Setting {
            state: state.clone(),
            nets: BTreeMap::new(),
            jacks: BTreeMap::new(),
        });
        settings.len() - 1
    });
    let setting = &mut settings[here];
    let widen = |known: &mut BTreeMap<String, [f64; 2]>, name: &str, value: f64| {
        let ends = known.entry(name.to_owned()).or_insert([value, value]);
        *ends = [ends[0].min(value), ends[1].max(value)];
    };
    for net in &design.nets {
        let Some(slot) = evidence.layout.net(net, Measure::Mean) else {
            continue;
        };
        let value = found.map_or(0.0, |(values, _)| values[slot]);
        if value.is_finite() {
            widen(&mut setting.nets, net, value);
        }
    }
    for (at, feed) in plan.feeds.iter().enumerate() {
        let input = found.and_then(|(_, inputs)| inputs[at]);
        let mean = input.map_or(0.0, |input| input.average);
        widen(&mut setting.jacks, &feed.jack, mean);
    }
}
