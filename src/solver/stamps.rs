//! Where conductances and currents enter the equations: the topology's ports as flat lists.

use super::topology::Topology;

/// Lists of (index, sign), end to end.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Lists {
    ends: Vec<usize>,
    items: Vec<(usize, f64)>,
}

impl Lists {
    fn collect(lists: impl Iterator<Item = Vec<(usize, f64)>>) -> Self {
        let mut all = Self::default();
        for list in lists {
            all.items.extend(list);
            all.ends.push(all.items.len());
        }
        all
    }

    /// The list of that number.
    #[inline(always)]
    #[allow(clippy::inline_always)]
    pub fn get(&self, index: usize) -> &[(usize, f64)] {
        let start = if index == 0 { 0 } else { self.ends[index - 1] };
        &self.items[start..self.ends[index]]
    }
}

/// What carries a port's current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Carrier {
    /// A linear conductance, by its index.
    Ohmic(usize),
    /// A constant current.
    Constant(usize),
    /// A capacitor or inductor, counted through both lists.
    Storage(usize),
    /// A device, by its index in [`Stamps::devices`].
    Device(usize),
    /// Nothing: only its voltage counts.
    Nothing,
}

/// A current that a device carries: its port, the gains that make it up, and the voltages (in
/// [`Stamps::voltages`], from there on) that they belong to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DeviceCurrent {
    pub port: usize,
    pub gains: std::ops::Range<usize>,
    pub first_voltage: usize,
}

/// See the [module](self).
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Stamps {
    /// Per port: unknowns with their signs.
    pub terms: Lists,
    /// Per port: waves with their signs.
    pub waves: Lists,
    /// Per linear conductance, storage element, gain: matrix entries with their signs.
    pub ohmic: Lists,
    pub storage: Lists,
    pub gains: Lists,
    /// Diagonal entries.
    pub diagonal: Vec<usize>,
    /// Ports of the capacitors, then of the inductors.
    pub storage_ports: Vec<usize>,
    /// The currents of devices, junctions first.
    pub devices: Vec<DeviceCurrent>,
    /// Ports whose voltage a device depends on.
    pub voltages: Vec<usize>,
    /// Per port.
    pub carriers: Vec<Carrier>,
}

impl Stamps {
    pub fn new(topology: &Topology) -> Self {
        let ports = &topology.ports;
        let entries = |current: usize, voltage: usize| -> Vec<(usize, f64)> {
            ports[current]
                .terms
                .iter()
                .flat_map(|&(row, s)| {
                    ports[voltage].terms.iter().filter_map(move |&(column, t)| {
                        Some((topology.elimination.slot(row, column)?, s * t))
                    })
                })
                .collect()
        };
        let storage_ports: Vec<usize> = topology
            .capacitors
            .iter()
            .chain(&topology.inductors)
            .map(|(port, _)| *port)
            .collect();
        let mut voltages: Vec<usize> = topology.junctions.iter().map(|j| j.0).collect();
        let mut devices = Vec::new();
        let mut gains = Vec::new();
        for &port in &voltages {
            devices.push(DeviceCurrent {
                port,
                gains: gains.len()..gains.len() + 1,
                first_voltage: devices.len(),
            });
            gains.push(entries(port, port));
        }
        for (current_ports, voltage_ports) in topology.couplings() {
            for &port in current_ports {
                devices.push(DeviceCurrent {
                    port,
                    gains: gains.len()..gains.len() + voltage_ports.len(),
                    first_voltage: voltages.len(),
                });
                gains.extend(voltage_ports.iter().map(|&voltage| entries(port, voltage)));
            }
            voltages.extend(voltage_ports);
        }
        let mut carriers = vec![Carrier::Nothing; ports.len()];
        for (index, (port, _)) in topology.ohmic.iter().enumerate() {
            carriers[*port] = Carrier::Ohmic(index);
        }
        for (index, (port, _)) in topology.constants.iter().enumerate() {
            carriers[*port] = Carrier::Constant(index);
        }
        for (index, port) in storage_ports.iter().enumerate() {
            carriers[*port] = Carrier::Storage(index);
        }
        for (index, device) in devices.iter().enumerate() {
            carriers[device.port] = Carrier::Device(index);
        }
        let over = |list: &[usize]| Lists::collect(list.iter().map(|&port| entries(port, port)));
        let ohmic: Vec<usize> = topology.ohmic.iter().map(|o| o.0).collect();
        Self {
            terms: Lists::collect(ports.iter().map(|port| port.terms.clone())),
            waves: Lists::collect(ports.iter().map(|port| port.waves.clone())),
            ohmic: over(&ohmic),
            storage: over(&storage_ports),
            gains: Lists::collect(gains.into_iter()),
            diagonal: (0..topology.unknowns)
                .filter_map(|u| topology.elimination.slot(u, u))
                .collect(),
            storage_ports,
            devices,
            voltages,
            carriers,
        }
    }
}
