//! Splits demands over classes of limited capacity: a small maximal flow.

/// Pieces each demand takes from each of its classes, `None` if not all can be served. A demand is a quantity and
/// the classes that serve it.
pub(super) fn serve(demands: &[(i64, &[usize])], capacity: &[i64]) -> Option<Vec<Vec<i64>>> {
    let mut spare = capacity.to_vec();
    let mut split: Vec<Vec<i64>> = demands.iter().map(|(_, classes)| vec![0; classes.len()]).collect();
    let mut users: Vec<Vec<(usize, usize)>> = vec![Vec::new(); capacity.len()];
    for (demand, (_, classes)) in demands.iter().enumerate() {
        for (place, &class) in classes.iter().enumerate() {
            users[class].push((demand, place));
        }
    }
    // Demands without a choice go first, the others then never have to move them.
    let mut order: Vec<usize> = (0..demands.len()).collect();
    order.sort_by_key(|&demand| demands[demand].1.len());
    for demand in order {
        let mut missing = demands[demand].0;
        while missing > 0 {
            let path = path_to_spare(demands, &split, &spare, &users, demand)?;
            missing -= push_along(demands, &mut split, &mut spare, &path, missing);
        }
    }
    Some(split)
}

/// Steps from a demand to a class with spare capacity: each demand takes from the class at `place`, and the next one
/// gives that class up in part.
fn path_to_spare(
    demands: &[(i64, &[usize])],
    split: &[Vec<i64>],
    spare: &[i64],
    users: &[Vec<(usize, usize)>],
    start: usize,
) -> Option<Vec<(usize, usize)>> {
    let mut came_from: Vec<Option<(usize, usize)>> = vec![None; spare.len()];
    let mut queue = std::collections::VecDeque::from([start]);
    let mut seen = vec![false; demands.len()];
    let mut reached: Vec<Option<usize>> = vec![None; demands.len()];
    seen[start] = true;
    while let Some(demand) = queue.pop_front() {
        for (place, &class) in demands[demand].1.iter().enumerate() {
            if came_from[class].is_some() {
                continue;
            }
            came_from[class] = Some((demand, place));
            if spare[class] > 0 {
                let mut path = Vec::new();
                let mut at = Some(class);
                while let Some((demand, place)) = at.and_then(|class| came_from[class]) {
                    path.push((demand, place));
                    at = reached[demand];
                }
                path.reverse();
                return Some(path);
            }
            for &(other, other_place) in &users[class] {
                if !seen[other] && split[other][other_place] > 0 {
                    seen[other] = true;
                    reached[other] = Some(class);
                    queue.push_back(other);
                }
            }
        }
    }
    None
}

fn push_along(
    demands: &[(i64, &[usize])],
    split: &mut [Vec<i64>],
    spare: &mut [i64],
    path: &[(usize, usize)],
    missing: i64,
) -> i64 {
    let class_at = |(demand, place): (usize, usize)| demands[demand].1[place];
    let place_of = |demand: usize, class: usize| demands[demand].1.iter().position(|&other| other == class);
    let Some(&last) = path.last() else { return 0 };
    let mut amount = missing.min(spare[class_at(last)]);
    for pair in path.windows(2) {
        if let Some(place) = place_of(pair[1].0, class_at(pair[0])) {
            amount = amount.min(split[pair[1].0][place]);
        }
    }
    for (at, &(demand, place)) in path.iter().enumerate() {
        split[demand][place] += amount;
        if at > 0
            && let Some(given_up) = place_of(demand, class_at(path[at - 1]))
        {
            split[demand][given_up] -= amount;
        }
    }
    spare[class_at(last)] -= amount;
    amount
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_early_demand_gives_way_to_a_later_one() {
        let demands: [(i64, &[usize]); 2] = [(3, &[0, 1]), (2, &[0])];
        let demands = [demands[0], (2, &[0, 2][..1])];
        assert_eq!(serve(&demands, &[3, 2, 0]), Some(vec![vec![1, 2], vec![2]]));
        assert_eq!(serve(&demands, &[2, 2, 0]), None);
    }

    #[test]
    fn chains_of_moves_are_found() {
        let demands: [(i64, &[usize]); 3] = [(1, &[0, 1]), (1, &[1, 2]), (2, &[0, 1])];
        let split = serve(&demands, &[1, 2, 1]).expect("enough for all");
        let taken = |class: usize| -> i64 {
            demands
                .iter()
                .zip(&split)
                .flat_map(|((_, classes), split)| classes.iter().zip(split))
                .filter(|&(&other, _)| other == class)
                .map(|(_, pieces)| pieces)
                .sum()
        };
        assert!(taken(0) <= 1 && taken(1) <= 2 && taken(2) <= 1);
        assert_eq!(taken(0) + taken(1) + taken(2), 4);
    }
}
