//! probe (not kept)
use standbook_identify::*;
use standbook_key::*;
fn main() {
    let t0 = std::time::Instant::now();
    let files = KeyFiles::read_folder(std::path::Path::new("keys/tallgrass-first-year")).unwrap();
    let l = load(&files);
    println!("load {:?}", t0.elapsed());
    for f in l.report.faults().take(40) {
        println!("{f}");
    }
    println!(
        "faults {} notes {}",
        l.report.faults().count(),
        l.report.notes().count()
    );
    for f in l.report.notes() {
        println!("{}", f.problem);
    }
    let Some(key) = l.key else { return };
    let t = std::time::Instant::now();
    let table = Table::compile(&key);
    println!("compile {:?}", t.elapsed());
    let t2=std::time::Instant::now(); let _=Table::compile(&key); println!("again {:?}",t2.elapsed()); let t2=std::time::Instant::now(); let _=standbook_key::fingerprint::of_key(&key); println!("fp {:?}",t2.elapsed()); let kin=standbook_identify::profile::Kin::of(&key); let t2=std::time::Instant::now(); for t in &key.traits {let _=standbook_identify::profile::shares(&key,&kin,t);} println!("shares {:?}",t2.elapsed()); for _ in 0..3 {let t2=std::time::Instant::now(); let v=serde_json::to_value(&key).unwrap(); let a=t2.elapsed(); let _=standbook_key::fingerprint::of_json(&v); println!("tovalue {:?} hash {:?}",a,t2.elapsed()-a); drop(v); println!("drop {:?}",t2.elapsed()); let t2=std::time::Instant::now(); let t=Table::compile(&key); println!("again {:?}",t2.elapsed()); drop(t);} let c = couplets::grow(&key);
    println!("couplets {} {:?}", c.couplets.len(), t.elapsed());
    let mut ends = vec![];
    for cp in &c.couplets {
        for l in &cp.leads {
            if let standbook_key::couplet::LeadTo::Taxa(t) = &l.to {
                ends.push(t.len())
            }
        }
    }
    ends.sort();
    println!("ends {:?}", ends);
    // typical walk with all modal answers
    let mut right = 0;
    let mut top3 = 0;
    let mut settled = 0;
    let mut conf = 0.0;
    for (r, x) in key.taxa.iter().enumerate() {
        let mut e = Evidence::default();
        for (ti, tc) in table.traits.iter().enumerate() {
            if tc.bins.is_some() {
                continue;
            }
            let tr = key.trait_by_id(tc.id.as_str()).unwrap();
            if !tr.visible_at(LeafStage::Tillering) {
                continue;
            }
            if x.facts(tc.id.as_str()).is_empty() {
                continue;
            }
            let s = (0..tc.states.len())
                .max_by(|a, b| tc.chances[*a][r].total_cmp(&tc.chances[*b][r]))
                .unwrap();
            e.add(Answer {
                trait_index: ti,
                reading: Reading::States(vec![s]),
            });
        }
        let a = assess(&table, &e, Planted::ByRole);
        let rank = a.ranking.iter().position(|z| z.0 == r).unwrap();
        if rank == 0 {
            right += 1
        }
        if rank < 3 {
            top3 += 1
        }
        if matches!(a.outcome,Outcome::Settled(q) if q==r) {
            settled += 1
        }
        conf += a.ranking[0].1;
        println!(
            "{} n={} rank {} p {:.3} top {} {:.3} {:?}",
            x.id,
            e.answers().len(),
            rank,
            a.posterior[r],
            table.rows[a.ranking[0].0].id,
            a.ranking[0].1,
            a.outcome.id()
        );
    }
    println!("{right} {top3} {settled} {conf}");
}
